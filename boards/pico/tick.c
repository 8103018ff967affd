/*
 * The tick, by an alarm of the microsecond timer: tick n is due floor(n x 1,000,000 / hz) us after the rate was set, so none
 * drifts whatever the rate.
 */
#include "board.h"
#include "pico.h"

#define US_PER_S 1000000u
#define ALARM0 (1u << 0)

/** When the next tick is due, and the part of a microsecond that is owed, in 1/hz. */
static uint32_t due_us, owed, hz = 1;

void tick_interrupt(void);

/** The alarm has done its work when it has woken the core. */
void tick_interrupt(void) { TIMER_INTR = ALARM0; }

void tick_start(void) {
  TIMER_INTE = ALARM0;
  NVIC_ISER = 1u << IRQ_TIMER_0;
}

static void next(void) {
  owed += US_PER_S % hz;
  due_us += US_PER_S / hz;
  if (owed < hz) return;
  owed -= hz;
  due_us++;
}

uint32_t board_now_us(void) { return TIMER_TIMERAWL; }

void board_rate(uint32_t wanted_hz) {
  hz = wanted_hz;
  owed = 0;
  due_us = board_now_us();
  next();
}

void board_wait(void) {
  while ((int32_t)(board_now_us() - due_us) < 0) {
    /* Masked, an interrupt still ends the sleep: none can slip in between the look and the sleep. The alarm only goes off
     * when the timer reaches it, so it is set before the look. */
    const uint32_t before = interrupts_off();
    TIMER_ALARM0 = due_us;
    if ((int32_t)(board_now_us() - due_us) < 0) __asm volatile("dsb\n wfi" ::: "memory");
    interrupts_restore(before);
    __asm volatile("isb" ::: "memory");
  }
  next();
}
