/*
 * A board that drives nothing. Every function does the least that board.h allows, so that firmware made with it is safe: no
 * pulses, no power, the stop loop open. Fill them in from the top; the order is that of bringing a board up.
 */
#include "board.h"

#include <string.h>

static uint8_t slots[2][BOARD_SLOT_BYTES];
static uint32_t kept[BOARD_KEPT_BYTES / 4];
static uint32_t rate = 200, now_us;

/** Clocks, pins, link; outputs off. Then the watchdog. */
void board_start(void) { memset(slots, 0xff, sizeof slots); }

/** Read the reset flags once, in board_start, and clear them. */
enum board_reset board_reset_reason(void) { return BOARD_RESET_POWER; }

/** Belongs into a section that the start-up code does not clear: .noinit. */
void* board_kept(void) { return kept; }

void board_rate(uint32_t hz) { rate = hz; }

/** A timer's interrupt sets a flag; wait for it asleep. Count time in ticks that do not drift: 1,000,000 / rate may leave a rest. */
void board_wait(void) { now_us += 1000000u / rate; }

uint32_t board_now_us(void) { return now_us; }

/** The receive interrupt moves bytes into a ring; take them from there. */
size_t board_receive(uint8_t* to, size_t n) {
  (void)to;
  (void)n;
  return 0;
}

size_t board_send(const uint8_t* from, size_t n) {
  (void)from;
  return n;
}

/** A hardware timer makes the pulse, double-buffered, so that none is cut. */
void board_pulse(uint8_t pin, uint32_t width_us, uint32_t frame_hz) {
  (void)pin;
  (void)width_us;
  (void)frame_hz;
}

/** A loop that nobody watches is open. */
bool board_closed(uint8_t pin) {
  (void)pin;
  return false;
}

void board_power(uint8_t pin, bool on) {
  (void)pin;
  (void)on;
}

void board_line(uint8_t pin, bool on) {
  (void)pin;
  (void)on;
}

uint32_t board_analog(uint8_t pin) {
  (void)pin;
  return 0;
}

/** An analogue input behind a divider; 0 says that there is none. */
uint32_t board_supply_mv(void) { return 0; }

void board_lamp(bool on) { (void)on; }

void board_feed(void) {}

const uint8_t* board_slot(unsigned slot) { return slots[slot]; }

bool board_slot_erase(unsigned slot) {
  memset(slots[slot], 0xff, BOARD_SLOT_BYTES);
  return true;
}

bool board_slot_program(unsigned slot, uint32_t offset, const uint8_t* from, size_t n) {
  memcpy(slots[slot] + offset, from, n);
  return true;
}

void board_halt(void) {
  for (;;) {
  }
}
