/* What a board sends, byte by byte, as frames without their stuffing: for the board inside another program. */
#ifndef POSEWRIGHT_SENT_H
#define POSEWRIGHT_SENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/**
 * Takes a byte; where it ends a frame, `frame` is called with it: type, sequence, payload, checksum, or nothing, n = 0, when its
 * stuffing is wrong. False when a frame has no end.
 */
bool sent_byte(uint8_t byte, void (*frame)(const uint8_t* raw, size_t n));

/** A frame that has begun is dropped. */
void sent_forget(void);

#endif
