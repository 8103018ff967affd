/* A script of what happens to a board, made of any bytes: every byte means something. */
#ifndef POSEWRIGHT_SCRIPT_H
#define POSEWRIGHT_SCRIPT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "layout.h"

/** Operations: the byte modulo SCRIPT_OPERATIONS. What follows each stands in script.c. */
enum script_operation {
  SCRIPT_TICKS,
  SCRIPT_BYTES,
  SCRIPT_FRAME,
  SCRIPT_POSE,
  SCRIPT_IMAGE,
  SCRIPT_STOP,
  SCRIPT_RESET,
  SCRIPT_LATE,
  SCRIPT_LINE,
  SCRIPT_POWER,
  SCRIPT_LONG,
  SCRIPT_SUPPLY,
  SCRIPT_WEAR,
  SCRIPT_OPERATIONS
};

struct script {
  const uint8_t* at;
  const uint8_t* end;
  /** Ticks that are still to pass. */
  uint32_t ticks;
  /** Rest of a rig image on its way, a frame a tick. */
  uint32_t image_at, image_bytes;
  uint8_t image[IMAGE_MAX];
  uint8_t sequence;
};

/** Begins a script of n bytes. */
void script_begin(struct script* script, const uint8_t* from, size_t n);

/** Does what stands before the next tick; now_us: the controller's clock. False at the end. */
bool script_step(struct script* script, uint32_t now_us);

/** Sends one frame of at most 248 bytes of payload. */
void script_frame(struct script* script, uint8_t type, const uint8_t* payload, size_t n);

/** CRC-16/IBM-3740. */
uint16_t script_crc16(const uint8_t* from, size_t n);

#endif
