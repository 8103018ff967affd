/* What the files of this board know of each other. */
#ifndef POSEWRIGHT_F405_H
#define POSEWRIGHT_F405_H

#include <stdbool.h>
#include <stdint.h>

#include "registers.h"

/** Every wait for the chip gives up after so many looks: longer than any that RM0090 allows, and no emulator hangs it. */
#define LOOKS 10000000u

/** Clocks as they came up, in Hz. */
struct clocks {
  uint32_t core, apb2, timers;
};
extern struct clocks clocks;

/** As fast as the chip goes: 168 MHz from the crystal, from its own oscillator if there is none, 16 MHz if all else fails. */
void clocks_start(void);

/** Readies USART1. */
void link_start(void);
/** Moves waiting bytes to the transmitter while it takes them; true while some are left. */
bool link_pump(void);

/** Starts the timers, every pulse off. */
void pulses_start(void);

/** Sets a pin's mode, and its alternate function where that is the mode. */
void pin_mode(uint32_t port, uint32_t bit, uint32_t mode, uint32_t function);

/** Watchdog: from now on so many ms, at most 4095. */
void watchdog_span(uint32_t ms);

#endif
