/* What the files of this board know of each other. */
#ifndef POSEWRIGHT_PICO_H
#define POSEWRIGHT_PICO_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "registers.h"

#define FLASH_ID_BYTES 8u

/** Takes these blocks out of reset and waits until they answer. */
void blocks_start(uint32_t blocks);

/** 125 MHz from the crystal for the core and the link, 48 MHz for USB and the analogue converter, 1 MHz for timer and watchdog. Called before there are variables. */
void clocks_start(void);

/** Readies UART0. */
void uart_start(void);

/** As board_receive and board_send, by UART0; forget drops what came while the link was elsewhere. */
size_t uart_receive(uint8_t* to, size_t n);
size_t uart_send(const uint8_t* from, size_t n);
void uart_forget(void);

/** The flash's own number, its unique id. Speaks to the flash as a writing does: before anything moves. */
void flash_id(uint8_t id[FLASH_ID_BYTES]);

/** Starts the PWM slices, every pulse off. */
void pulses_start(void);

/** Gives the supply's pin to the analogue converter, and starts its first conversion. */
void supply_start(void);

/** Readies the timer's alarm. */
void tick_start(void);

/** Gives a pin to one of the chip's blocks, with the pad as it must be. */
void pin_mode(uint32_t pin, uint32_t pad, uint32_t function);

/** The watchdog bites in so many microseconds, at most 8 seconds from now. */
void watchdog_reload(uint32_t for_us);

/** Interrupts off; returns what interrupts_restore needs. */
static inline uint32_t interrupts_off(void) {
  uint32_t before;
  __asm volatile("mrs %0, primask\n cpsid i" : "=r"(before)::"memory");
  return before;
}

static inline void interrupts_restore(uint32_t before) { __asm volatile("msr primask, %0" ::"r"(before) : "memory"); }

#endif
