/*
 * Servo pulses by the eight PWM slices, a count a microsecond. Width and period are taken over where the count wraps (data sheet
 * 4.5.2.3), so no pulse is cut; a width of 0 is a frame without a pulse.
 */
#include "board.h"
#include "pico.h"

#define US_PER_S 1000000u
#define FIRST_HZ 50u
#define SLICES 8u

/** Per slice: widths of channels A and B as the register has them, and the frame rate in force, 0: free to choose. */
static struct {
  uint32_t widths;
  uint32_t hz;
} state[SLICES];

void pulses_start(void) {
  for (uint32_t slice = 0; slice < SLICES; slice++) {
    PWM_DIV(slice) = PICO_CORE_HZ / US_PER_S << PWM_DIV_INT_SHIFT;
    PWM_TOP(slice) = US_PER_S / FIRST_HZ - 1;
    PWM_CC(slice) = 0;
  }
  PWM_EN = (1u << SLICES) - 1u;
  /* Pins last: a slice that has not been set up yet says nothing. */
  for (uint32_t pin = BOARD_FIRST_PIN; pin < BOARD_FIRST_PIN + BOARD_PINS; pin++)
    pin_mode(pin, PAD_4MA | PAD_SCHMITT | PAD_PULL_DOWN, GPIO_FUNC_PWM);
}

void board_pulse(uint8_t pin, uint32_t width_us, uint32_t frame_hz) {
  if (pin < BOARD_FIRST_PIN || pin >= BOARD_FIRST_PIN + BOARD_PINS) return;
  /* Data sheet 4.5.2, table 525. */
  const uint32_t slice = pin / 2u % SLICES, shift = 16u * (pin % 2u);
  const uint32_t widths = (state[slice].widths & ~(0xffffu << shift)) | (width_us & 0xffffu) << shift;
  if (widths != state[slice].widths) PWM_CC(slice) = state[slice].widths = widths;
  if (widths == 0) state[slice].hz = 0;
  if (width_us == 0 || frame_hz == 0) return;
  /* A servo that gets frames faster than it can take may burn; one that gets them slower is only coarser. */
  if (state[slice].hz == 0 || frame_hz < state[slice].hz) {
    state[slice].hz = frame_hz;
    PWM_TOP(slice) = (US_PER_S + frame_hz / 2u) / frame_hz - 1u;
  }
}
