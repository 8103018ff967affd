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

/** A servo pin's width register, and the frame rate that its servo takes, 0 without a pulse. Four share a timer. */
static struct channel {
  volatile uint32_t* width;
  uint32_t hz;
} channels[BOARD_PINS];
/** Frame rate of each timer, 0: as it was begun. */
static uint32_t timer_hz[TIMERS];

void pulses_start(void) {
  for (unsigned i = 0; i < TIMERS; i++) {
    const uint32_t timer = timer_at[i];
    TIM_PSC(timer) = clocks.timers / US_PER_S - 1;
    TIM_ARR(timer) = US_PER_S / FIRST_HZ - 1;
    TIM_CCMR1(timer) = TIM_CCMR_PWM1_PRELOAD_TWICE;
    TIM_CCMR2(timer) = TIM_CCMR_PWM1_PRELOAD_TWICE;
    for (unsigned channel = 0; channel < 4; channel++) {
      channels[4 * i + channel].width = &TIM_CCR(timer, channel);
      TIM_CCR(timer, channel) = 0;
    }
    TIM_CCER(timer) = TIM_CCER_ALL;
    TIM_EGR(timer) = TIM_EGR_UG;
    TIM_CR1(timer) = TIM_CR1_ARPE | TIM_CR1_CEN;
  }
  /* Pins last: a timer that has not been set up yet says nothing. */
  for (unsigned i = 0; i < BOARD_PINS; i++) pin_mode(pin_at[i].port, pin_at[i].bit, GPIO_ALTERNATE, function[i / 4]);
}

/** A servo that gets frames faster than it can take may burn; one that gets them slower is only coarser. */
static void set_frame(uint32_t timer) {
  uint32_t slowest = 0;
  for (uint32_t i = 4 * timer; i < 4 * timer + 4; i++)
    if (channels[i].hz != 0 && (slowest == 0 || channels[i].hz < slowest)) slowest = channels[i].hz;
  if (slowest == 0 || slowest == timer_hz[timer]) return;
  timer_hz[timer] = slowest;
  TIM_ARR(timer_at[timer]) = (US_PER_S + slowest / 2) / slowest - 1;
}

void board_pulse(uint8_t pin, uint32_t width_us, uint32_t frame_hz) {
  const uint32_t index = (uint32_t)pin - BOARD_FIRST_PIN;
  if (index >= BOARD_PINS) return;
  struct channel* channel = &channels[index];
  const uint32_t hz = width_us != 0 ? frame_hz : 0;
  *channel->width = width_us;
  if (hz == channel->hz) return;
  channel->hz = hz;
  set_frame(index / 4);
}
