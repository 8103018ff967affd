/*
 * This machine as a board inside another program: time is counted, flash is memory, and a script (script.c) says what happens
 * between ticks. The same main.c runs again and again in one process, and after every tick what it promises is checked: a
 * promise that is broken ends the program with words. For fuzzing, and for power that goes at every byte.
 */
#ifndef POSEWRIGHT_INPROCESS_H
#define POSEWRIGHT_INPROCESS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "board.h"

/** What has run since the program began. */
struct inprocess_counts {
  uint64_t ticks, bytes, frames_out, resets;
  /** Starts after a loss of power while an image was being stored: with the image before it, and with it. */
  uint64_t old_images, new_images;
  /** Images that a worn-out flash did not take, and ticks on which a low supply had tripped it. */
  uint64_t worn_images, low_supplies;
};
extern struct inprocess_counts inprocess_counts;

/**
 * Runs from power-up over a script, then asks who is there. The first byte of the script chooses the start: a board without
 * a rig, or one of RIGS live.
 */
void inprocess_run(const uint8_t* script, size_t n);

/* For script.c: what happens to the board. */

/** Bytes for the link; what has no room is lost. */
void board_hears(const uint8_t* from, size_t n);
void board_sees_stop(bool open);
/** Every tick from now on takes so long. */
void board_takes_us(uint32_t us);
/** The line takes so many bytes a tick at most. */
void board_line_takes(size_t bytes);
/** The power goes after so many bytes of flash have changed. */
void board_power_fails_after(long bytes);
/** The servos are fed with so much, mV; 0: it is not measured. */
void board_supplies_mv(uint32_t mv);
/** The flash takes so many more bytes, over resets too; 65535: any number. */
void board_flash_wears_out_after(uint32_t bytes);
/** Starts anew. Does not return. */
void board_resets(enum board_reset why) __attribute__((noreturn));

#endif
