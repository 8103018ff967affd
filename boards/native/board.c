/*
 * This machine as a board: the link is a pseudo-terminal or standard input and output, flash and the record that survives a
 * reset are files. It is driven in one of two ways (POSEWRIGHT_MODE):
 *   pty    real time; prints the terminal's path, then runs until killed
 *   lock   lockstep over standard input and output: reads "tick" requests, answers with bytes and pulses; see below
 *
 * Lockstep, for tests that must be the same run to run. Request: u16 n, n bytes for the link, u8 flags (1: stop
 * loop open, and every other input with it; 2: this tick takes 100 ms; 4: pins follow), u16 supply in mV (0: not measured); pins, if they
 * follow: u32 of inputs that are closed from now on, bit 20 for pin 20, and u16 that analog pins read, 0 to 65535.
 * Answer: 16 u16 pulse widths by pin, u8 power (1) and lines (2, 4, 8, 16: pins 18 to 21), u16 n, n bytes from the link. Little-endian.
 * One request is one tick. In a terminal the stop loop of the rig in flash is closed, and every other input is open.
 * The flash is the two slots, then the pages.
 * Environment: POSEWRIGHT_FLASH and POSEWRIGHT_KEPT name the files; without, both begin blank and end with the program.
 * POSEWRIGHT_CLOSED: in a terminal, inputs that are closed besides, a number whose bit 20 is pin 20.
 * POSEWRIGHT_RESET is the reset reason's number. POSEWRIGHT_POWER_FAILS_AFTER: bytes programmed or erased until it exits.
 * POSEWRIGHT_FLASH_WEARS_OUT_AFTER: bytes programmed or erased until none changes any more.
 */
#include "board.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include "layout.h"
#include "nor.h"
#include "slots.h"

#define SLOTS 2u
#define FIRST_LINE 18u
#define LINES 4u
#define LINK_BYTES 65536u
#define POWER_FAILED 75
/** Longer than any period. */
#define LATE_US 100000u

static bool lockstep;
static int line = -1;
static uint8_t* flash;
static uint8_t* kept;
static uint32_t rate = 200;
static uint64_t next_ns;
/** As many as any board has, so that answers have one shape. */
static uint16_t width_us[16];
static bool powered, stop_closed = true;
static uint32_t closed_pins = UINT32_MAX;
/** In a terminal: the rig in flash is another than when its stop pin was looked up; that pin, 255: none. */
static bool flash_changed = true;
static uint8_t stop_pin;
static uint16_t analog;
static uint8_t lines_on;
static uint16_t supply_mv;
static uint8_t in[LINK_BYTES], out[LINK_BYTES];
static size_t in_first, in_count, out_count;
static uint64_t ticks;
static uint32_t takes_us, counted_us;

static void die(const char* what) {
  perror(what);
  exit(1);
}

/** Maps a file of n bytes, made with the filler when it is new; without a name, memory. */
static uint8_t* persist(const char* name, size_t n, int filler) {
  const char* path = getenv(name);
  const int fd = path != NULL ? open(path, O_RDWR | O_CREAT, 0600) : -1;
  if (path != NULL && fd < 0) die(path);
  const bool fresh = path == NULL || lseek(fd, 0, SEEK_END) != (off_t)n;
  if (path != NULL && fresh && ftruncate(fd, (off_t)n) != 0) die(path);
  uint8_t* at = mmap(NULL, n, PROT_READ | PROT_WRITE, path != NULL ? MAP_SHARED : MAP_PRIVATE | MAP_ANONYMOUS, fd, 0);
  if (at == MAP_FAILED) die("mmap");
  if (fresh) memset(at, filler, n);
  return at;
}

static void read_all(void* to, size_t n) {
  for (size_t got = 0; got < n;) {
    const ssize_t k = read(0, (char*)to + got, n - got);
    if (k <= 0) exit(0);
    got += (size_t)k;
  }
}

static void write_all(const void* from, size_t n) {
  for (size_t put = 0; put < n;) {
    const ssize_t k = write(1, (const char*)from + put, n - put);
    if (k < 0) exit(0);
    put += (size_t)k;
  }
}

static void open_terminal(void) {
  line = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
  if (line < 0 || grantpt(line) != 0 || unlockpt(line) != 0) die("pty");
  /* Held open on this side too, so that a host that leaves does not hang the line up. */
  const int slave = open(ptsname(line), O_RDWR | O_NOCTTY);
  struct termios raw;
  if (slave < 0 || tcgetattr(slave, &raw) != 0) die("pty");
  cfmakeraw(&raw);
  tcsetattr(slave, TCSANOW, &raw);
  printf("%s\n", ptsname(line));
  fflush(stdout);
}

static uint64_t now_ns(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (uint64_t)t.tv_sec * 1000000000u + (uint64_t)t.tv_nsec;
}

void board_start(void) {
  const char* mode = getenv("POSEWRIGHT_MODE");
  lockstep = mode != NULL && strcmp(mode, "lock") == 0;
  const char* fails = getenv("POSEWRIGHT_POWER_FAILS_AFTER");
  if (fails != NULL) nor_fails_after = atol(fails);
  const char* wears = getenv("POSEWRIGHT_FLASH_WEARS_OUT_AFTER");
  if (wears != NULL) nor_wears_out_after = atol(wears);
  flash = persist("POSEWRIGHT_FLASH", SLOTS * BOARD_SLOT_BYTES + BOARD_STORE_PAGES * PAGE_BYTES, 0xff);
  kept = persist("POSEWRIGHT_KEPT", BOARD_KEPT_BYTES, 0xa5);
  if (!lockstep) {
    const char* closed = getenv("POSEWRIGHT_CLOSED");
    closed_pins = closed != NULL ? (uint32_t)strtoul(closed, NULL, 0) : 0;
    open_terminal();
  }
  next_ns = now_ns();
}

enum board_reset board_reset_reason(void) {
  const char* reason = getenv("POSEWRIGHT_RESET");
  return reason != NULL ? (enum board_reset)atoi(reason) : BOARD_RESET_POWER;
}

void* board_kept(void) { return kept; }

void board_rate(uint32_t hz) { rate = hz; }

/** Lockstep: hands out the last tick's result, takes the next request. */
static void exchange(void) {
  if (ticks++ > 0) {
    uint8_t power = (uint8_t)(powered | lines_on << 1);
    uint16_t n = (uint16_t)out_count;
    write_all(width_us, sizeof width_us);
    write_all(&power, 1);
    write_all(&n, 2);
    write_all(out, out_count);
    out_count = 0;
  }
  uint16_t n;
  uint8_t flags;
  read_all(&n, 2);
  if (in_first > 0) {
    memmove(in, in + in_first, in_count);
    in_first = 0;
  }
  if (in_count + n > LINK_BYTES) exit(1);
  read_all(in + in_count, n);
  in_count += n;
  read_all(&flags, 1);
  read_all(&supply_mv, 2);
  if ((flags & 4) != 0) {
    read_all(&closed_pins, 4);
    read_all(&analog, 2);
  }
  stop_closed = (flags & 1) == 0;
  takes_us = (flags & 2) != 0 ? LATE_US : 0;
}

/** Nobody is there who could close it: the stop loop of the rig in flash, so that it rouses at all. */
static void find_stop(void) {
  uint32_t n = 0;
  const uint8_t* image = slots_image(0, &n);
  stop_pin = image != NULL ? image[IMAGE_STOP_PIN] : 255;
  flash_changed = false;
}

void board_wait(void) {
  if (lockstep) {
    exchange();
    return;
  }
  if (flash_changed) find_stop();
  next_ns += 1000000000u / rate;
  const uint64_t now = now_ns();
  if (next_ns < now) {
    if (now - next_ns > 100000000u) next_ns = now; /* A machine that slept: a board would have been reset. */
    return;
  }
  const struct timespec pause = {.tv_sec = (time_t)((next_ns - now) / 1000000000u), .tv_nsec = (long)((next_ns - now) % 1000000000u)};
  nanosleep(&pause, NULL);
}

/** In lockstep time passes from one look to the next. */
uint32_t board_now_us(void) { return lockstep ? counted_us += takes_us : (uint32_t)(now_ns() / 1000u); }

size_t board_receive(uint8_t* to, size_t n) {
  if (!lockstep) {
    const ssize_t k = read(line, to, n);
    return k > 0 ? (size_t)k : 0;
  }
  const size_t k = n < in_count ? n : in_count;
  memcpy(to, in + in_first, k);
  in_first += k;
  in_count -= k;
  return k;
}

size_t board_send(const uint8_t* from, size_t n) {
  if (!lockstep) {
    const ssize_t k = write(line, from, n);
    return k > 0 ? (size_t)k : 0;
  }
  const size_t k = n < LINK_BYTES - out_count ? n : LINK_BYTES - out_count;
  memcpy(out + out_count, from, k);
  out_count += k;
  return k;
}

void board_pulse(uint8_t pin, uint32_t us, uint32_t frame_hz) {
  (void)frame_hz;
  if (pin >= BOARD_FIRST_PIN && pin < BOARD_FIRST_PIN + BOARD_PINS) width_us[pin - BOARD_FIRST_PIN] = (uint16_t)us;
}

bool board_closed(uint8_t pin) {
  if (!lockstep) return pin == stop_pin || (pin < 32 && (closed_pins & 1u << pin) != 0);
  return stop_closed && (pin >= 32 || (closed_pins & 1u << pin) != 0);
}

void board_power(uint8_t pin, bool on) {
  (void)pin;
  powered = on;
}

void board_line(uint8_t pin, bool on) {
  const uint32_t line_of = (uint32_t)pin - FIRST_LINE;
  if (line_of >= LINES) return;
  lines_on = (uint8_t)(on ? lines_on | 1u << line_of : lines_on & ~(1u << line_of));
}

uint32_t board_analog(uint8_t pin) {
  (void)pin;
  return analog;
}

uint32_t board_supply_mv(void) { return supply_mv; }

void board_lamp(bool on) { (void)on; }

void board_feed(void) {}

const uint8_t* board_slot(unsigned slot) { return flash + slot * BOARD_SLOT_BYTES; }

void nor_power_failed(void) { _exit(POWER_FAILED); }

bool board_slot_erase(unsigned slot) {
  return nor_erase(flash + slot * BOARD_SLOT_BYTES, BOARD_SLOT_BYTES);
}

bool board_slot_program(unsigned slot, uint32_t offset, const uint8_t* from, size_t n) {
  flash_changed = true;
  return nor_program(flash + slot * BOARD_SLOT_BYTES + offset, from, n);
}

static uint8_t* page_at(uint32_t page) { return flash + SLOTS * BOARD_SLOT_BYTES + page * PAGE_BYTES; }

const uint8_t* board_page(uint32_t page) { return page_at(page); }

bool board_page_erase(uint32_t page) {
  return page % BOARD_STORE_SECTOR_PAGES == 0 && nor_erase(page_at(page), BOARD_STORE_SECTOR_PAGES * PAGE_BYTES);
}

bool board_page_program(uint32_t page, const uint8_t* from) { return nor_program(page_at(page), from, PAGE_BYTES); }

void board_halt(void) {
  fprintf(stderr, "trap\n");
  exit(3);
}
