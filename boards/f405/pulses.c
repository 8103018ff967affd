/*
 * Servo pulses by TIM2 to TIM5, a count a microsecond. Width and period are preloaded: they change where a frame begins, so no
 * pulse is cut; a width of 0 is a frame without a pulse (PWM mode 1, RM0090 18.3.9).
 */
#include "board.h"
#include "f405.h"

#define US_PER_S 1000000u
#define FIRST_HZ 50u
#define TIMERS 4u

static const uint32_t timer_at[TIMERS] = {TIM5, TIM2, TIM3, TIM4};
static const uint8_t function[TIMERS] = {2, 1, 2, 2};

/** Where each servo pin is; the table of board_config.h. */
static const struct {
  uint32_t port;
  uint8_t bit;
} pin_at[BOARD_PINS] = {{GPIOA, 0}, {GPIOA, 1}, {GPIOA, 2},  {GPIOA, 3},  {GPIOA, 5}, {GPIOB, 3}, {GPIOB, 10}, {GPIOB, 11},
                        {GPIOC, 6}, {GPIOC, 7}, {GPIOC, 8},  {GPIOC, 9},  {GPIOB, 6}, {GPIOB, 7}, {GPIOB, 8},  {GPIOB, 9}};

/** Frame rate in force, 0: free to choose; channels with a pulse, one bit each. */
static struct {
  uint32_t hz;
  uint32_t on;
} state[TIMERS];

void pulses_start(void) {
  for (unsigned i = 0; i < TIMERS; i++) {
    const uint32_t timer = timer_at[i];
    TIM_PSC(timer) = clocks.timers / US_PER_S - 1;
    TIM_ARR(timer) = US_PER_S / FIRST_HZ - 1;
    TIM_CCMR1(timer) = TIM_CCMR_PWM1_PRELOAD_TWICE;
    TIM_CCMR2(timer) = TIM_CCMR_PWM1_PRELOAD_TWICE;
    for (unsigned channel = 0; channel < 4; channel++) TIM_CCR(timer, channel) = 0;
    TIM_CCER(timer) = TIM_CCER_ALL;
    TIM_EGR(timer) = TIM_EGR_UG;
    TIM_CR1(timer) = TIM_CR1_ARPE | TIM_CR1_CEN;
  }
  /* Pins last: a timer that has not been set up yet says nothing. */
  for (unsigned i = 0; i < BOARD_PINS; i++) pin_mode(pin_at[i].port, pin_at[i].bit, GPIO_ALTERNATE, function[i / 4]);
}

void board_pulse(uint8_t pin, uint32_t width_us, uint32_t frame_hz) {
  const uint32_t index = (uint32_t)pin - BOARD_FIRST_PIN;
  if (index >= BOARD_PINS) return;
  const uint32_t timer = timer_at[index / 4], bit = 1u << (index % 4);
  TIM_CCR(timer, index % 4) = width_us;
  if (width_us == 0) {
    state[index / 4].on &= ~bit;
    if (state[index / 4].on == 0) state[index / 4].hz = 0;
    return;
  }
  state[index / 4].on |= bit;
  /* A servo that gets frames faster than it can take may burn; one that gets them slower is only coarser. */
  if (frame_hz != 0 && (state[index / 4].hz == 0 || frame_hz < state[index / 4].hz)) {
    state[index / 4].hz = frame_hz;
    TIM_ARR(timer) = (US_PER_S + frame_hz / 2) / frame_hz - 1;
  }
}
