/* See inprocess.h. main.c is part of this file, so that the checks see what it knows. */
#include "inprocess.h"

#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>

#include "motion.h"
#include "nor.h"
#include "rigs.h"
#include "script.h"
#include "sent.h"

#define main firmware_main
#include "../main.c"
#undef main

#define SLOTS 2u
#define HEARS_MOST 2048u
/** A script may not run for longer. */
#define TICKS_MOST 4000u
/** Ticks within which it must have said who it is. */
#define ANSWER_TICKS 12u
#define READY_TICKS 4000u
/** A supply that stays low trips within so long, and two ticks. */
#define LOW_MS 100u
enum { WHO = 1, COMMIT = 4, ROUSE = 6, REPORT = 0x0b, I_AM = 0x81, ANSWER = 0x82 };
enum { ANSWER_DONE = 0, ANSWER_NOT_STORED = 4 };
enum { STARTED, RESET, ENDED };

/** What the board is, and outlives its resets. */
struct world {
  uint8_t flash[SLOTS * BOARD_SLOT_BYTES];
  uint8_t pages[BOARD_STORE_PAGES * PAGE_BYTES];
  uint32_t kept[BOARD_KEPT_BYTES / 4];
  enum board_reset reason;
  bool stop_open, powered;
  uint32_t takes_us, now_us, hz, supply_mv;
  /** The controller's own clock, but for what it adds up below a microsecond. */
  uint32_t clock_us;
  size_t line_takes, line_room;
  uint16_t width_us[BOARD_PINS];
  /** After a watchdog's reset: what the pins had before it, to be had still. */
  uint16_t held_us[BOARD_PINS];
  uint32_t held_print;
  bool holds;
  /** Checksums of the image that is stored for certain, and of the one that is being stored; 0: none. */
  uint32_t stored, storing;
  bool is_storing, cut;
};
static struct world world;
static jmp_buf out;
struct inprocess_counts inprocess_counts;

static uint8_t hears[HEARS_MOST];
static size_t heard, hearing;
static struct script script;
static uint32_t ran, unfed_us;
static bool ticked, fed;
/** No bytes wait for the tick to come. */
static bool heard_nothing;
/** Asking who is there: ticks since. */
static uint32_t asking;
static bool answered, preparing;
/** Images of this start that the flash took and did not take, less the answers that said so. */
static uint32_t untold_stored, untold_failed;
/** Ticks that the supply has been low for, with pulses on. */
static uint32_t low_ticks;

static void broken(const char* promise) {
  fprintf(stderr, "broken: %s (tick %u, state %u)\n", promise, ran, *at(outputs + OUT_STATE));
  abort();
}

/* What the board says. */

/** The first frame after a start may be the rest of one that a reset has cut. */
static bool cut_short;

/** The answer to an image's commit is the truth: it is stored, or it is not. */
static void said_answer(uint32_t result) {
  if (result == ANSWER_DONE && untold_stored-- == 0) broken("an image that is answered as stored is stored");
  if (result == ANSWER_NOT_STORED && untold_failed-- == 0) broken("an image is only answered as not stored when it is not");
}

static uint32_t force_print(void);

/** Who it is, asked just now: a rig that it calls stored is what the flash has. */
static void said_who(const uint8_t* raw) {
  answered = true;
  if (asking > 0 && raw[22] == (uint8_t)(script.sequence - 1u) && raw[23] != 0 && force_print() != world.stored)
    broken("a rig that it calls stored is in the flash");
}

/** A frame that it has sent. */
static void said_frame(const uint8_t* raw, size_t n) {
  const bool whole = n >= 4 && script_crc16(raw, n - 2) == (uint16_t)(raw[n - 2] | raw[n - 1] << 8);
  if (!whole && !cut_short) broken("every frame that it sends is whole");
  cut_short = false;
  inprocess_counts.frames_out++;
  if (whole && raw[0] == I_AM && n == 26) said_who(raw);
  if (whole && raw[0] == ANSWER && raw[2] == COMMIT) said_answer(raw[4]);
}

size_t board_send(const uint8_t* from, size_t n) {
  if (n > world.line_room) n = world.line_room;
  world.line_room -= n;
  for (size_t i = 0; i < n; i++)
    if (!sent_byte(from[i], said_frame)) broken("frames have an end");
  return n;
}

/* What it promises. */

static float place_of(const uint8_t* places, uint32_t i) {
  float value;
  memcpy(&value, places + PLACE_JOINTS_AT + 4 * i, 4);
  return value;
}

static uint8_t in_force[IMAGE_MAX];
static uint8_t places_before[PLACES_BYTES];

/** Checksum of the image in force; 0: none. */
static uint32_t force_print(void) {
  uint32_t print = 0;
  if (rig.joints > 0) memcpy(&print, in_force + IMAGE_CRC, 4);
  return print;
}

/** What is fed to the servos and stays low ends in a trip, where the rig watches it and there are pulses to lose. */
static void check_supply(uint32_t state, uint32_t on) {
  uint16_t low_mv = 0;
  if (rig.joints > 0) memcpy(&low_mv, in_force + IMAGE_LOW_MV, 2);
  const bool low = world.supply_mv > 0 && world.supply_mv < low_mv;
  low_ticks = low && on > 0 && state != STATE_TRIPPED ? low_ticks + 1 : 0;
  if (state == STATE_TRIPPED && *at(outputs + OUT_TRIP) == TRIP_SUPPLY) inprocess_counts.low_supplies++;
  if (low_ticks > world.hz * LOW_MS / 1000u + 2) broken("a supply that stays low trips");
}

static void check(void) {
  const uint32_t state = *at(outputs + OUT_STATE);
  uint32_t on = 0;
  for (uint32_t pin = 0; pin < BOARD_PINS; pin++) on += world.width_us[pin] != 0;
  if (state > STATE_TRIPPED) broken("it is in a state there is");
  if (state == STATE_LIMP && (on > 0 || world.powered)) broken("limp has no pulses and no power");
  if (on > rig.joints) broken("only the rig's joints have pulses");
  for (uint32_t i = 0; i < rig.joints; i++) {
    const struct motion motion = {
      .joint = in_force + JOINTS_AT + i * JOINT_BYTES,
      .width_us = get16(pulses + 2u * i),
      .before = place_of(places_before, i),
      .now = place_of(at(outputs + OUT_PLACES), i),
      .hz = (float)world.hz,
    };
    const char* promise = motion_breaks(i, &motion);
    if (promise != NULL) broken(promise);
  }
  check_supply(state, on);
  const bool same = memcmp(world.held_us, world.width_us, sizeof world.held_us) == 0;
  if (world.holds && !world.stop_open && heard_nothing && world.held_print == force_print() && !same)
    broken("a watchdog's reset leaves the widths as they are");
  if (world.holds && heard_nothing && world.held_print != force_print() && on > 0)
    broken("a reset into another rig leaves no pulses");
  world.holds = false;
  memcpy(places_before, at(outputs + OUT_PLACES), PLACES_BYTES);
}

/** After a start: the image that was stored, or the one that was being stored, is in force. */
static void check_image(void) {
  const uint32_t print = force_print();
  if (world.is_storing && world.cut) {
    if (print == world.storing) inprocess_counts.new_images++;
    else inprocess_counts.old_images++;
    if (print == world.storing) world.stored = print;
  }
  world.is_storing = world.cut = false;
  if (print != world.stored) broken("the stored image, old or new, is in force");
}

/* Boards that live, one for each rig. */

static struct snapshot {
  bool made;
  struct world world;
  w2c_controller controller;
  uint8_t arena[sizeof wasm_arena];
  uint8_t rig[sizeof rig];
  uint8_t in_force[sizeof in_force];
  uint8_t places[PLACES_BYTES];
} snapshots[RIGS];
static const struct snapshot* begin_as;

static void save(struct snapshot* to) {
  to->made = true;
  to->world = world;
  to->controller = controller;
  memcpy(to->arena, wasm_arena, sizeof wasm_arena);
  memcpy(to->rig, &rig, sizeof rig);
  memcpy(to->in_force, in_force, sizeof in_force);
  memcpy(to->places, places_before, PLACES_BYTES);
}

/** In the middle of main: as if it had run from power-up to there. */
static void restore(void) {
  world = begin_as->world;
  controller = begin_as->controller;
  memcpy(wasm_arena, begin_as->arena, sizeof wasm_arena);
  memcpy(&rig, begin_as->rig, sizeof rig);
  memcpy(in_force, begin_as->in_force, sizeof in_force);
  memcpy(places_before, begin_as->places, PLACES_BYTES);
  begin_as = NULL;
}

/* The board. */

void board_start(void) {
  ticked = fed = false;
  unfed_us = untold_stored = untold_failed = low_ticks = 0;
  nor_fails_after = -1;
  sent_forget();
  world.powered = false;
  world.clock_us = 0;
  memset(world.width_us, 0, sizeof world.width_us);
  motion_forget();
  memset(wasm_arena, 0, sizeof wasm_arena);
  memset(&rig, 0, sizeof rig);
  heard = hearing = 0;
}

enum board_reset board_reset_reason(void) { return world.reason; }
void* board_kept(void) { return world.kept; }

/** An image came into force: main.c asks for its rate. */
void board_rate(uint32_t hz) {
  world.hz = hz;
  if (rig.joints > 0) memcpy(in_force, at(image), get32(outputs + OUT_IMAGE_BYTES));
  motion_forget();
}

void board_resets(enum board_reset why) {
  inprocess_counts.resets++;
  world.reason = why;
  cut_short = true;
  /* One reset after another without a tick between: what was before the first. */
  if (why == BOARD_RESET_WATCHDOG && !world.holds) {
    memcpy(world.held_us, world.width_us, sizeof world.held_us);
    world.held_print = force_print();
  }
  world.holds = why == BOARD_RESET_WATCHDOG;
  if (why == BOARD_RESET_POWER)
    for (size_t i = 0; i < BOARD_KEPT_BYTES / 4; i++) world.kept[i] ^= 0xa5a5a5a5u * (uint32_t)(i + ran);
  longjmp(out, RESET);
}

void nor_power_failed(void) {
  world.cut = true;
  board_resets(BOARD_RESET_POWER);
}

/** The watchdog of a board that was not fed for too long. */
static void watch_feeding(void) {
  const uint32_t period_us = 1000000u / world.hz;
  unfed_us = fed ? 0 : unfed_us + (world.takes_us > period_us ? world.takes_us : period_us);
  fed = false;
  if (unfed_us > 1000u * BOARD_WATCHDOG_MS) board_resets(BOARD_RESET_WATCHDOG);
}

/** Asks who is there until it says so. */
static void ask(void) {
  if (answered) longjmp(out, ENDED);
  if (asking++ > ANSWER_TICKS) broken("it still answers");
  nor_fails_after = -1;
  world.line_takes = SIZE_MAX;
  world.takes_us = 0;
  if (asking == 1) {
    heard = hearing = 0;
    board_hears((const uint8_t[]){0}, 1);
  }
  answered = false;
  script_frame(&script, WHO, NULL, 0);
}

/** Whether the flash took the image that was being stored: what the board tells the controller, and what it goes by from now on. */
static void note_storing(void) {
  world.is_storing = false;
  if (*at(inputs + IN_STORE) == STORE_DONE) {
    world.stored = world.storing;
    untold_stored++;
  } else if (*at(inputs + IN_STORE) == STORE_FAILED) {
    untold_failed++;
    inprocess_counts.worn_images++;
  } else broken("the controller hears what became of the image");
}

/** What a tick has done is looked at. */
static void tick_over(void) {
  ran++;
  inprocess_counts.ticks++;
  world.clock_us += 1000000u / world.hz;
  check();
  if (world.is_storing) note_storing();
  watch_feeding();
}

void board_wait(void) {
  if (ticked) tick_over();
  else if (begin_as != NULL) restore();
  else check_image();
  ticked = true;
  if (preparing) {
    if (*at(outputs + OUT_STATE) == STATE_LIVE) longjmp(out, ENDED);
    if (ran > READY_TICKS) broken("a rig that is roused comes to life");
    script_step(&script, 0);
  } else if (ran > TICKS_MOST || asking > 0 || !script_step(&script, world.clock_us)) ask();
  world.line_room = world.line_takes;
  heard_nothing = hearing == heard;
}

uint32_t board_now_us(void) { return world.now_us += world.takes_us; }

size_t board_receive(uint8_t* to, size_t n) {
  const size_t k = n < hearing - heard ? n : hearing - heard;
  memcpy(to, hears + heard, k);
  heard += k;
  if (heard == hearing) heard = hearing = 0;
  return k;
}

void board_pulse(uint8_t pin, uint32_t us, uint32_t frame_hz) {
  (void)frame_hz;
  if (pin >= BOARD_FIRST_PIN && pin < BOARD_FIRST_PIN + BOARD_PINS) world.width_us[pin - BOARD_FIRST_PIN] = (uint16_t)us;
}

bool board_closed(uint8_t pin) {
  (void)pin;
  return !world.stop_open;
}

void board_power(uint8_t pin, bool on) {
  (void)pin;
  world.powered = on;
}

void board_line(uint8_t pin, bool on) {
  (void)pin;
  (void)on;
}

uint32_t board_analog(uint8_t pin) {
  (void)pin;
  return 0;
}

uint32_t board_supply_mv(void) { return world.supply_mv; }
void board_lamp(bool on) { (void)on; }
void board_feed(void) { fed = true; }
const uint8_t* board_slot(unsigned slot) { return world.flash + slot * BOARD_SLOT_BYTES; }

bool board_slot_erase(unsigned slot) {
  memcpy(&world.storing, at(image) + IMAGE_CRC, 4);
  world.is_storing = true;
  return nor_erase(world.flash + slot * BOARD_SLOT_BYTES, BOARD_SLOT_BYTES);
}

bool board_slot_program(unsigned slot, uint32_t offset, const uint8_t* from, size_t n) {
  return nor_program(world.flash + slot * BOARD_SLOT_BYTES + offset, from, n);
}

const uint8_t* board_page(uint32_t number) { return world.pages + number * PAGE_BYTES; }

/** Erasing and programming may take seconds. */
static void check_still(void) {
  for (uint32_t pin = 0; pin < BOARD_PINS; pin++)
    if (world.width_us[pin] != 0) broken("the flash is left alone while there are pulses");
}

bool board_page_erase(uint32_t number) {
  check_still();
  return number % BOARD_STORE_SECTOR_PAGES == 0 &&
         nor_erase(world.pages + number * PAGE_BYTES, BOARD_STORE_SECTOR_PAGES * PAGE_BYTES);
}

bool board_page_program(uint32_t number, const uint8_t* from) {
  check_still();
  return nor_program(world.pages + number * PAGE_BYTES, from, PAGE_BYTES);
}

void board_halt(void) {
  broken("nothing traps");
  abort();
}

/* The script's side. */

void board_hears(const uint8_t* from, size_t n) {
  if (n > HEARS_MOST - hearing) n = HEARS_MOST - hearing;
  memcpy(hears + hearing, from, n);
  hearing += n;
  inprocess_counts.bytes += n;
}
void board_sees_stop(bool open) { world.stop_open = open; }
void board_takes_us(uint32_t us) { world.takes_us = us; }
void board_line_takes(size_t bytes) { world.line_takes = bytes > 0 ? bytes : SIZE_MAX; }
void board_supplies_mv(uint32_t mv) { world.supply_mv = mv; }
void board_flash_wears_out_after(uint32_t bytes) { nor_wears_out_after = bytes == 65535u ? -1 : (long)bytes; }
void board_power_fails_after(long bytes) { nor_fails_after = bytes; }

/* Runs. */

static void power_up(void) {
  memset(&world, 0, sizeof world);
  memset(world.flash, 0xff, sizeof world.flash);
  memset(world.pages, 0xff, sizeof world.pages);
  memset(world.kept, 0xa5, sizeof world.kept);
  world.line_takes = SIZE_MAX;
  nor_wears_out_after = -1;
  ran = asking = 0;
  answered = cut_short = false;
}

static void run(void) {
  if (setjmp(out) != ENDED) firmware_main();
}

/** Brings a rig to life, once: many runs begin there. */
static void prepare(unsigned k) {
  if (snapshots[k].made) return;
  const uint8_t steps[] = {SCRIPT_IMAGE, (uint8_t)k, 0, SCRIPT_FRAME, REPORT, 2, 4, 0, SCRIPT_FRAME, ROUSE, 0};
  power_up();
  preparing = true;
  script_begin(&script, steps, sizeof steps);
  run();
  preparing = false;
  save(&snapshots[k]);
}

void inprocess_run(const uint8_t* from, size_t n) {
  const unsigned start = n > 0 ? from[0] % (RIGS + 1u) : 0;
  if (start > 0) prepare(start - 1);
  power_up();
  begin_as = start > 0 ? &snapshots[start - 1] : NULL;
  script_begin(&script, from + (n > 0), n - (n > 0));
  run();
}
