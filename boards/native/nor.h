/* Flash as it wears the name NOR: erasing sets bits, programming only clears them, and the power may go at any byte of either. */
#ifndef POSEWRIGHT_NOR_H
#define POSEWRIGHT_NOR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/** Bytes that may still be changed before the power goes; less than 0: it stays. */
extern long nor_fails_after;

/** The power went, in the middle of a byte: some of its bits have changed. Does not return. */
void nor_power_failed(void) __attribute__((noreturn));

/** Bytes that may still be changed before the flash is worn out: it then takes erasures and programs, and nothing changes. */
extern long nor_wears_out_after;

/** Sets n bytes to 0xff; true when they are. */
bool nor_erase(uint8_t* at, size_t n);

/** Clears the bits that are 0 in `from`; true when the bytes are as asked. */
bool nor_program(uint8_t* at, const uint8_t* from, size_t n);

#endif
