/*
 * What a board does for main.c: the whole of the contract. A new board is one folder that implements these functions and
 * defines the constants at the end; template/ is the empty one. Nothing here allocates. Unless it says otherwise a function
 * returns at once and is called from the main loop only. Times are microseconds.
 */
#ifndef POSEWRIGHT_BOARD_H
#define POSEWRIGHT_BOARD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "board_config.h"

/** Why the chip started: numbers of the controller's Inputs.reset_reason. */
enum board_reset { BOARD_RESET_POWER = 0, BOARD_RESET_WATCHDOG = 1, BOARD_RESET_PIN = 2 };

/** Bytes of the record that a reset must not lose: what main.c keeps, and a check of its own. */
#define BOARD_KEPT_BYTES 108u

/** Clocks, link, pins; every pulse and the power output off. Called once, first. The watchdog may run from here on. */
void board_start(void);

/** Why it started. Must be right after board_start, at any time. */
enum board_reset board_reset_reason(void);

/** BOARD_KEPT_BYTES, word-aligned, in memory that start-up code and resets leave alone. Content after power-up: anything. */
void* board_kept(void);

/** From now on board_wait returns hz times a second, without drift: 50 to 1000. */
void board_rate(uint32_t hz);

/** Sleeps until the next tick. MUST return at once for every tick that is already due, so that none is lost. */
void board_wait(void);

/** Free-running microseconds, wrapping. */
uint32_t board_now_us(void);

/** Moves up to n received bytes to `to`; returns how many. Bytes that nobody took in time are lost, whole or in part. */
size_t board_receive(uint8_t* to, size_t n);

/** Takes up to n bytes to send; returns how many. Never waits. */
size_t board_send(const uint8_t* from, size_t n);

/** Pulse width at a servo pin, 0: none. Takes effect with the servo's next frame, frame_hz a second; a pulse is never cut. */
void board_pulse(uint8_t pin, uint32_t width_us, uint32_t frame_hz);

/** True while the input is closed to ground (pull-up). A pin that the board does not have reads closed. */
bool board_closed(uint8_t pin);

/** Drives the power output. Pins the board does not have are ignored. */
void board_power(uint8_t pin, bool on);

/**
 * What the servos are fed with, mV, 0 to 65535; 0: the board cannot measure it, so one that can never returns 0, and a line that is
 * broken reads low. Called once a tick from the main loop; returns at once, with a reading not older than two ticks.
 */
uint32_t board_supply_mv(void);

/** Lamp or nothing: on while joints are powered. */
void board_lamp(bool on);

/** Keeps the watchdog from biting for BOARD_WATCHDOG_MS. Called after a tick that met its deadline, and by nothing else. */
void board_feed(void);

/** Start of a flash slot for rig images (0 or 1), BOARD_SLOT_BYTES long; always readable, erased bytes 0xff. */
const uint8_t* board_slot(unsigned slot);

/** Erases a slot. May block for seconds, with interrupts off: only called while nothing moves. True when it is blank. */
bool board_slot_erase(unsigned slot);

/** Programs n bytes of an erased slot; offset and n are multiples of BOARD_PROGRAM_BYTES. Blocks. True when they read back. */
bool board_slot_program(unsigned slot, uint32_t offset, const uint8_t* from, size_t n);

/** Leaves outputs as they are and waits for the watchdog. */
void board_halt(void) __attribute__((noreturn));

#if BOARD_BOOTS
/**
 * Enters the chip's boot loader, which takes new firmware: a message asked for it. Only called in limp, when its answer has had the
 * line for 50 ms. Boards without one (BOARD_BOOTS 0) do not have this function, and the message is answered "not in this state".
 */
void board_boot(void) __attribute__((noreturn));
#endif

/*
 * board_config.h of the board defines:
 *   BOARD_KIND            number in "I am", never reused: 1 pico, 2 f405, 3 native, 255 template
 *   BOARD_FIRST_PIN       servo pins are numbered from here,
 *   BOARD_PINS            so many of them, at most 16
 *   BOARD_SLOT_BYTES      2048 or more
 *   BOARD_PROGRAM_BYTES   least piece of flash that can be programmed, at most 256
 *   BOARD_WATCHDOG_MS     longer than any tick, shorter than anyone's patience
 *   BOARD_BOOTS           1: there is a boot loader to enter, board_boot; 0: none
 */
#ifndef BOARD_KIND
#error "board_config.h: BOARD_KIND"
#endif
#ifndef BOARD_BOOTS
#error "board_config.h: BOARD_BOOTS"
#endif
#ifndef BOARD_WATCHDOG_MS
#error "board_config.h: BOARD_WATCHDOG_MS"
#endif
_Static_assert(BOARD_PINS >= 1 && BOARD_PINS <= 16, "the controller has 16 joints");
_Static_assert(BOARD_SLOT_BYTES >= 2048, "a rig image and its head have 1536 bytes and a margin");
_Static_assert(BOARD_PROGRAM_BYTES >= 1 && BOARD_PROGRAM_BYTES <= 256, "slots.c programs pieces of 256 bytes");

#endif
