/*
 * The tick and the clock, both by SysTick on the core's clock. Where the rate does not divide that clock, periods differ by
 * one cycle so that their sum is exact.
 */
#include "board.h"
#include "f405.h"

#define US_PER_S 1000000u

/** Ticks that came; ticks that the main loop had. */
static volatile uint32_t ticks;
static uint32_t served;

/** Cycles of this period and of the one that is loaded after it, and the part of a cycle that is owed, in 1/hz. */
static volatile uint32_t period = US_PER_S;
static uint32_t next, owed, hz = 1;

/** Time at the start of this period: whole microseconds, and cycles beyond. */
static volatile uint32_t start_us, start_cycles;

/** For a debugger that plays the line: the rate, and how often it has been set. */
struct {
  volatile uint32_t hz, count;
} tick_rate;

void tick_interrupt(void);
void tick_done(void);

static uint32_t cycles_of_next(void) {
  owed += clocks.core % hz;
  const bool longer = owed >= hz;
  if (longer) owed -= hz;
  return clocks.core / hz + longer;
}

static void pass(uint32_t cycles) {
  const uint32_t per_us = clocks.core / US_PER_S;
  const uint32_t sum = start_cycles + cycles;
  start_us += sum / per_us;
  start_cycles = sum % per_us;
}

void tick_interrupt(void) {
  pass(period);
  period = next;
  next = cycles_of_next();
  SYST_RVR = next - 1;
  ticks++;
}

/** Cycles into this period. */
static uint32_t into(void) { return period - 1 - SYST_CVR; }

void board_rate(uint32_t wanted_hz) {
  if (SYST_CSR != 0) {
    __asm volatile("cpsid i" ::: "memory");
    pass(into());
  }
  SYST_CSR = 0;
  hz = wanted_hz;
  owed = 0;
  period = cycles_of_next();
  SYST_RVR = period - 1;
  SYST_CVR = 0; /* Any write clears it, and the count begins with RVR (DDI 0403 B3.3.4). */
  SYST_CSR = SYST_CSR_RUN;
  SCB_ICSR = SCB_ICSR_PENDSTCLR;
  next = period;
  served = ticks;
  tick_rate.hz = wanted_hz;
  tick_rate.count++;
  __asm volatile("cpsie i" ::: "memory");
}

uint32_t board_now_us(void) {
  uint32_t seen, us;
  do {
    seen = ticks;
    us = start_us + (start_cycles + into()) / (clocks.core / US_PER_S);
  } while (seen != ticks);
  return us;
}

/** A tick's work is done and its results stand: where a debugger stops that drives the board tick by tick. */
__attribute__((noinline, used, section(".lockstep"))) void tick_done(void) { __asm volatile("" ::: "memory"); }

void board_wait(void) {
  tick_done();
  while (served == ticks) {
    if (link_pump()) continue;
    /* Masked, an interrupt still ends the sleep: none can slip in between the look and the sleep. */
    __asm volatile("cpsid i" ::: "memory");
    if (served == ticks) __asm volatile("dsb\n wfi" ::: "memory");
    __asm volatile("cpsie i\n isb" ::: "memory");
  }
  served++;
  link_pump();
}
