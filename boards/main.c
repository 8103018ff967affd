/*
 * The firmware of every board: wakes the controller with the stored rig image and the places that survived, then ticks it.
 * All that decides anything is in the controller; this moves bytes, pins and pulses.
 */
#include <string.h>

#include "board.h"
#include "controller.h"
#include "layout.h"
#include "slots.h"

uint8_t wasm_arena[ARENA_BYTES + ARENA_PAD] __attribute__((aligned(8)));

static w2c_controller controller;

static uint8_t* at(uint32_t offset) { return wasm_arena + offset; }
/* Words and half words there are aligned: a compiler that is not told calls memcpy on a core that cannot read them otherwise. */
static void* word(uint32_t offset) { return __builtin_assume_aligned(at(offset), 4); }
static void* half(uint32_t offset) { return __builtin_assume_aligned(at(offset), 2); }
static uint32_t get32(uint32_t offset) { uint32_t v; memcpy(&v, word(offset), 4); return v; }
static uint32_t get16(uint32_t offset) { uint16_t v; memcpy(&v, half(offset), 2); return v; }
static void put16(uint32_t offset, uint32_t v) { const uint16_t value = (uint16_t)v; memcpy(half(offset), &value, 2); }
static void put32(uint32_t offset, uint32_t v) { memcpy(word(offset), &v, 4); }

static uint32_t rx, tx, pulses, inputs, outputs, image, page;

/** What a board must know of the rig in force: kept here, since the next image is received over the last one. */
static struct {
  uint32_t images;
  /** Its checksum; 0: there is none. */
  uint32_t crc;
  uint32_t joints;
  uint32_t tick_hz;
  uint8_t stop_pin, power_pin;
  uint8_t pin[JOINTS];
  uint16_t frame_hz[JOINTS];
} rig;

/** Lines of the night's plan, as they were driven last. */
static uint8_t lines[NIGHT_OUT_PINS];

/**
 * The record that outlives a reset: the controller's places, a check of them and of the rig that they are of, and whether a response trapped. A rig that
 * the flash did not take is gone with the reset: its places mean nothing to the one that is stored, nor do its pins.
 */
struct kept {
  uint8_t places[PLACES_BYTES];
  uint32_t bytes;
  uint32_t check;
  uint32_t mark;
};
/** In `mark`: a response trapped. */
#define TRAPPED_IN_RESPONSE 0x50534552u
_Static_assert(sizeof(struct kept) == BOARD_KEPT_BYTES, "the record that is kept");

void wasm_rt_trap(wasm_rt_trap_t trap) {
  (void)trap;
  if (outputs != 0 && *at(outputs + OUT_RESPONDING) != 0) ((struct kept*)board_kept())->mark = TRAPPED_IN_RESPONSE;
  /* The widths stay as they are: a joint without pulses may drop. The watchdog ends it, and the record says where it was. */
  board_halt();
}

/**
 * Copies the places and returns what memory that was never written does not have by chance: their words, turned and added
 * without carry, onto the checksum of their rig. Cheap, for it is made every tick.
 */
static uint32_t copy_places(uint8_t* to, const uint8_t* from, uint32_t crc) {
  uint32_t check = 2166136261u ^ crc;
  _Pragma("GCC unroll 8") for (uint32_t i = 0; i < PLACES_BYTES; i += 4) {
    uint32_t word;
    memcpy(&word, __builtin_assume_aligned(from + i, 4), 4);
    memcpy(__builtin_assume_aligned(to + i, 4), &word, 4);
    check = (check << 27 | check >> 5) ^ word;
  }
  return check;
}

static void keep(void) {
  struct kept* kept = board_kept();
  kept->bytes = 0;
  kept->check = copy_places(kept->places, at(outputs + OUT_PLACES), rig.crc);
  kept->bytes = PLACES_BYTES;
  kept->mark = 0;
}

/** The places, if they are intact and of the rig with this checksum. */
static bool recall(uint32_t crc) {
  const struct kept* kept = board_kept();
  return kept->bytes == PLACES_BYTES && kept->check == copy_places(at(inputs + IN_PLACES), kept->places, crc);
}

/** Whether a response trapped before this start. */
static bool recall_mark(void) {
  return board_reset_reason() == BOARD_RESET_WATCHDOG && ((const struct kept*)board_kept())->mark == TRAPPED_IN_RESPONSE;
}

/** Takes rate and pins from the image in force; pins of the rig before fall silent. */
static void adopt(void) {
  for (uint32_t i = 0; i < rig.joints; i++) board_pulse(rig.pin[i], 0, rig.frame_hz[i]);
  rig.images = get32(outputs + OUT_IMAGE_COUNT);
  const bool any = get32(outputs + OUT_IMAGE_BYTES) != 0;
  rig.crc = any ? get32(image + IMAGE_CRC) : 0;
  rig.joints = any ? *at(image + IMAGE_JOINT_COUNT) : 0;
  rig.stop_pin = any ? *at(image + IMAGE_STOP_PIN) : 255;
  rig.power_pin = any ? *at(image + IMAGE_POWER_PIN) : 255;
  for (uint32_t i = 0; i < rig.joints; i++) {
    const uint32_t joint = image + JOINTS_AT + i * JOINT_BYTES;
    rig.pin[i] = *at(joint + JOINT_PIN);
    rig.frame_hz[i] = (uint16_t)get16(joint + JOINT_FRAME_HZ);
  }
  rig.tick_hz = any ? get16(image + IMAGE_TICK_HZ) : IDLE_HZ;
  board_rate(rig.tick_hz);
}

/** Wakes the controller with the newest image that it accepts. */
static void wake(void) {
  wasm2c_controller_instantiate(&controller);
  rx = *w2c_controller_rx(&controller);
  tx = *w2c_controller_tx(&controller);
  pulses = *w2c_controller_pulses(&controller);
  inputs = *w2c_controller_inputs(&controller);
  outputs = *w2c_controller_outputs(&controller);
  image = *w2c_controller_image(&controller);
  page = *w2c_controller_page(&controller);
  memset(lines, NIGHT_NO_PIN, sizeof lines);
  *at(inputs + IN_RESET_REASON) = (uint8_t)board_reset_reason();
  *at(inputs + IN_BOARD) = BOARD_KIND;
  *at(inputs + IN_PINS) = BOARD_PINS;
  *at(inputs + IN_BOOTS) = BOARD_BOOTS;
  put16(inputs + IN_STORE_PAGES, BOARD_STORE_PAGES);
  put16(inputs + IN_SECTOR_PAGES, BOARD_STORE_SECTOR_PAGES);
  for (unsigned k = 0; k < 3; k++) {
    uint32_t n = 0;
    const uint8_t* stored = slots_image(k, &n);
    if (stored != NULL) memcpy(at(image), stored, n);
    put32(inputs + IN_IMAGE_BYTES, stored != NULL ? n : 0);
    const uint32_t crc = stored != NULL ? get32(image + IMAGE_CRC) : 0;
    *at(inputs + IN_PLACES_VALID) = board_reset_reason() != BOARD_RESET_POWER && recall(crc);
    *at(inputs + IN_KEPT_MARK) = *at(inputs + IN_PLACES_VALID) != 0 && recall_mark();
    if (w2c_controller_init(&controller) == 0) break;
  }
  adopt();
  /* At once: should the watchdog bite before the first tick, pulses that this start has ended may not come back. */
  keep();
}

/** From the board to the receive ring. */
static void bytes_in(void) {
  uint32_t head = get32(rx + RING_HEAD);
  uint32_t room = RX_BYTES - (head - get32(rx + RING_TAIL));
  while (room > 0) {
    const uint32_t index = head & (RX_BYTES - 1u);
    const uint32_t straight = RX_BYTES - index < room ? RX_BYTES - index : room;
    const uint32_t n = (uint32_t)board_receive(at(rx + RING_DATA_AT + index), straight);
    head += n;
    room -= n;
    if (n < straight) break;
  }
  put32(rx + RING_HEAD, head);
}

/** From the transmit ring to the board. */
static void bytes_out(void) {
  const uint32_t head = get32(tx + RING_HEAD);
  uint32_t tail = get32(tx + RING_TAIL);
  while (tail != head) {
    const uint32_t index = tail & (TX_BYTES - 1u);
    const uint32_t waiting = head - tail;
    const uint32_t straight = TX_BYTES - index < waiting ? TX_BYTES - index : waiting;
    const uint32_t n = (uint32_t)board_send(at(tx + RING_DATA_AT + index), straight);
    tail += n;
    if (n < straight) break;
  }
  put32(tx + RING_TAIL, tail);
}

/** Pulses and power as the controller has them: power before pulses on the way up, pulses before power on the way down. */
static void drive(void) {
  const bool on = *at(outputs + OUT_POWER) != 0;
  if (on) board_power(rig.power_pin, true);
  for (uint32_t i = 0; i < rig.joints; i++) board_pulse(rig.pin[i], get16(pulses + 2u * i), rig.frame_hz[i]);
  if (!on) board_power(rig.power_pin, false);
  board_lamp(on);
}

/** So says a word of four pins where there is none. */
#define NO_PINS 0xffffffffu

/** What the pins of the night's plan read. */
static void read_plan(void) {
  uint8_t closed = 0;
  const bool named = (get32(outputs + OUT_IN_PINS_LOW) & get32(outputs + OUT_IN_PINS_LOW + 4u)) != NO_PINS;
  for (uint32_t k = 0; named && k < NIGHT_IN_PINS; k++) {
    const uint8_t pin = *at(outputs + OUT_IN_PINS_LOW + k);
    if (pin != NIGHT_NO_PIN && board_closed(pin)) closed |= (uint8_t)(1u << k);
  }
  *at(inputs + IN_CLOSED) = closed;
  if (get32(outputs + OUT_ANALOG_PINS) == NO_PINS) return;
  for (uint32_t k = 0; k < NIGHT_ANALOG_PINS; k++) {
    const uint8_t pin = *at(outputs + OUT_ANALOG_PINS + k);
    if (pin != NIGHT_NO_PIN) put16(inputs + IN_ANALOG_0 + 2u * k, board_analog(pin));
  }
}

/** Lines as the controller has them; one that the plan no longer names goes off. */
static void drive_lines(void) {
  static const uint8_t none[NIGHT_OUT_PINS] = {NIGHT_NO_PIN, NIGHT_NO_PIN, NIGHT_NO_PIN, NIGHT_NO_PIN};
  if (get32(outputs + OUT_OUT_PINS) == NO_PINS && memcmp(lines, none, sizeof lines) == 0) return;
  for (uint32_t k = 0; k < NIGHT_OUT_PINS; k++) {
    const uint8_t pin = *at(outputs + OUT_OUT_PINS + k);
    if (lines[k] != pin && lines[k] != NIGHT_NO_PIN) board_line(lines[k], false);
    lines[k] = pin;
    if (pin != NIGHT_NO_PIN) board_line(pin, (*at(outputs + OUT_LINES) >> k & 1u) != 0);
  }
}

#if BOARD_STORE_PAGES > 0
/** Whether the flash may be busy for as long as it likes: nothing moves, and nothing is held. */
static bool lies_still(void) {
  const uint8_t state = *at(outputs + OUT_STATE);
  return (state == STATE_LIMP || state == STATE_TRIPPED) && *at(outputs + OUT_POWER) == 0;
}

/** Does what the controller asks of a page; returns whether the flash has been busy. */
static bool serve_page(void) {
  const uint32_t op = *at(outputs + OUT_PAGE_OP);
  if (op == 0) return false;
  const uint32_t number = get16(outputs + OUT_PAGE);
  *at(outputs + OUT_PAGE_OP) = 0;
  *at(inputs + IN_PAGE_NEWS) = PAGE_FAILED;
  if (number >= BOARD_STORE_PAGES) return false;
  if (op == PAGE_READ) {
    memcpy(at(page), board_page(number), PAGE_BYTES);
    *at(inputs + IN_PAGE_NEWS) = PAGE_CAME;
    return false;
  }
  if (!lies_still()) return false;
  const bool done = op == PAGE_ERASE ? board_page_erase(number) : board_page_program(number, at(page + PAGE_BYTES));
  if (done) *at(inputs + IN_PAGE_NEWS) = PAGE_DONE;
  return true;
}
#else
/** There is none. */
static bool serve_page(void) { return false; }
#endif

#if BOARD_BOOTS
/** Longer than two full rings, the controller's and the board's of 1 KiB each, take a line of 500,000 baud: 41 ms. */
#define BOOT_AFTER_US 50000u

/** Into the boot loader, when the answer to the message that asked for it has left. */
static void boot_if_asked(void) {
  static bool waits;
  static uint32_t asked_us;
  if (*at(outputs + OUT_BOOT) == 0) return;
  if (!waits) asked_us = board_now_us();
  waits = true;
  if (board_now_us() - asked_us >= BOOT_AFTER_US) board_boot();
}
#endif

int main(void) {
  board_start();
  wake();
  uint32_t lasted_us = 0;
  for (;;) {
    board_wait();
    const uint32_t began_us = board_now_us();
    *at(inputs + IN_STOP_OPEN) = rig.stop_pin != 255 && !board_closed(rig.stop_pin);
    put16(inputs + IN_SUPPLY_MV, board_supply_mv());
    put32(inputs + IN_TICK_US, lasted_us);
    read_plan();
    bytes_in();
    w2c_controller_tick(&controller);
    drive();
    drive_lines();
    const bool fresh = rig.images != get32(outputs + OUT_IMAGE_COUNT);
    if (fresh) adopt();
    keep();
    bytes_out();
#if BOARD_BOOTS
    boot_if_asked();
#endif
    if (fresh) {
      /* An image is only taken in limp, so nothing moves while the flash is busy. */
      const bool stored = slots_store(at(image), get32(outputs + OUT_IMAGE_BYTES));
      *at(inputs + IN_STORE) = stored ? STORE_DONE : STORE_FAILED;
    }
    if (serve_page() || fresh) {
      lasted_us = 0;
      board_feed();
      continue;
    }
    lasted_us = board_now_us() - began_us;
    if (lasted_us < 1000000u / rig.tick_hz) board_feed();
  }
}
