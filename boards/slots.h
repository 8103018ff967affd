/* Two flash slots for the rig image: the newer valid one counts; the other is the one written next. */
#ifndef POSEWRIGHT_SLOTS_H
#define POSEWRIGHT_SLOTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/** CRC-32/ISO-HDLC; begin with 0. */
uint32_t slots_crc32(uint32_t crc, const uint8_t* from, size_t n);

/** The k-th newest valid image (0: the newest), its length in *n; NULL when there is none. */
const uint8_t* slots_image(unsigned k, uint32_t* n);

/** Stores an image of n bytes, at most 1536. Power may fail at any byte: the old image or the new one is there afterwards. */
bool slots_store(const uint8_t* image, uint32_t n);

#endif
