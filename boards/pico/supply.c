/*
 * The analogue converter: what the servos are fed with, through a divider, and pins that a night names. A conversion takes 96 clocks of 48 MHz, 2 us (data sheet
 * 4.9): each look takes what the one before has begun, so that none waits. At 512, 1536, 2560 and 3584 counts the converter's steps
 * are up to nine counts wide (erratum RP2040-E11): 0.04 V here.
 */
#include "board.h"
#include "pico.h"

/** At the top of the divider when its foot has the converter's 3.3 V. */
#define FULL_MV (PICO_ADC_MV * (PICO_SUPPLY_UPPER_OHM + PICO_SUPPLY_LOWER_OHM) / PICO_SUPPLY_LOWER_OHM)
_Static_assert(FULL_MV <= 0xffff, "mV in 16 bits");
_Static_assert(PICO_SUPPLY_PIN >= ADC_FIRST_PIN && PICO_SUPPLY_PIN <= ADC_FIRST_PIN + 3u, "a pin of the converter");

/** Far longer than a conversion, and short beside a tick. */
#define CONVERSION_MOST_US 20u

/** The converter's pins that have been given to it, one bit each. */
static uint32_t given;

static void convert(uint32_t pin) { ADC_CS = (pin - ADC_FIRST_PIN) << ADC_CS_AINSEL_SHIFT | ADC_CS_START_ONCE | ADC_CS_EN; }

static void give(uint32_t pin) {
  if ((given & 1u << pin) != 0) return;
  given |= 1u << pin;
  pin_mode(pin, PAD_OUTPUT_OFF, GPIO_FUNC_NONE);
}

static void converted(void) {
  const uint32_t from_us = board_now_us();
  while ((ADC_CS & ADC_CS_READY) == 0 && board_now_us() - from_us < CONVERSION_MOST_US) {
  }
}

void supply_start(void) {
  give(PICO_SUPPLY_PIN);
  ADC_CS = ADC_CS_EN;
  convert(PICO_SUPPLY_PIN);
}

/** Never 0, which would say that there is nothing to look at. */
uint32_t board_supply_mv(void) {
  const uint32_t mv = ADC_RESULT * FULL_MV >> ADC_BITS;
  convert(PICO_SUPPLY_PIN);
  return mv > 0 ? mv : 1;
}

/** Leaves the supply's conversion begun, for the next look at it. */
uint32_t board_analog(uint8_t pin) {
  if (pin < ADC_FIRST_PIN || pin >= PICO_SUPPLY_PIN) return 0;
  give(pin);
  converted();
  convert(pin);
  converted();
  const uint32_t counts = ADC_RESULT;
  convert(PICO_SUPPLY_PIN);
  return counts << (16u - ADC_BITS) | counts >> (2u * ADC_BITS - 16u);
}
