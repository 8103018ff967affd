/*
 * What the servos are fed with, by the analogue converter through a divider. A conversion takes 96 clocks of 48 MHz, 2 us (data sheet
 * 4.9): each look takes what the one before has begun, so that none waits. At 512, 1536, 2560 and 3584 counts the converter's steps
 * are up to nine counts wide (erratum RP2040-E11): 0.04 V here.
 */
#include "board.h"
#include "pico.h"

/** At the top of the divider when its foot has the converter's 3.3 V. */
#define FULL_MV (PICO_ADC_MV * (PICO_SUPPLY_UPPER_OHM + PICO_SUPPLY_LOWER_OHM) / PICO_SUPPLY_LOWER_OHM)
_Static_assert(FULL_MV <= 0xffff, "mV in 16 bits");
_Static_assert(PICO_SUPPLY_PIN >= ADC_FIRST_PIN && PICO_SUPPLY_PIN <= ADC_FIRST_PIN + 3u, "a pin of the converter");

static void convert(void) {
  ADC_CS = (PICO_SUPPLY_PIN - ADC_FIRST_PIN) << ADC_CS_AINSEL_SHIFT | ADC_CS_START_ONCE | ADC_CS_EN;
}

void supply_start(void) {
  pin_mode(PICO_SUPPLY_PIN, PAD_OUTPUT_OFF, GPIO_FUNC_NONE);
  ADC_CS = ADC_CS_EN;
  convert();
}

/** Never 0, which would say that there is nothing to look at. */
uint32_t board_supply_mv(void) {
  const uint32_t mv = ADC_RESULT * FULL_MV >> ADC_BITS;
  convert();
  return mv > 0 ? mv : 1;
}
