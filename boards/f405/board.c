/* Start-up of the whole board, and its small parts: reset reason, plain pins, watchdog, the record that survives. */
#include "board.h"
#include "f405.h"

#define FIRST_PLAIN_PIN 18u
#define PLAIN_PINS 4u
#define LAMP_BIT 4u
/** PC0 is input 10 of ADC1 (DS8626, table 7). */
#define FIRST_CHANNEL 10u
#define CONVERSION_MOST_US 20u
/** A line of 1 nF behind the 40 kOhm of a pull-up has risen after 100 us. */
#define RISE_US 100u

static uint32_t kept[BOARD_KEPT_BYTES / 4] __attribute__((section(".noinit")));
_Static_assert(BOARD_KEPT_BYTES % 4 == 0, "the record is made of words");

static enum board_reset reason;
/** Plain pins whose pull-up is on. */
static uint32_t pulled;

void pin_mode(uint32_t port, uint32_t bit, uint32_t mode, uint32_t function) {
  const uint32_t nibble = 4u * (bit % 8u);
  GPIO_AFR(port, bit) = (GPIO_AFR(port, bit) & ~(15u << nibble)) | function << nibble;
  GPIO_MODER(port) = (GPIO_MODER(port) & ~(3u << 2u * bit)) | mode << 2u * bit;
}

/** RM0090 7.3.21. A watchdog's reset raises the pin's flag too, and power-up raises all of them. */
static enum board_reset read_reason(void) {
  const uint32_t flags = RCC_CSR;
  RCC_CSR = flags | RCC_CSR_RMVF;
  if ((flags & (RCC_CSR_PORRSTF | RCC_CSR_BORRSTF)) != 0) return BOARD_RESET_POWER;
  if ((flags & (RCC_CSR_IWDGRSTF | RCC_CSR_WWDGRSTF)) != 0) return BOARD_RESET_WATCHDOG;
  return (flags & (RCC_CSR_PINRSTF | RCC_CSR_SFTRSTF)) != 0 ? BOARD_RESET_PIN : BOARD_RESET_POWER;
}

void board_start(void) {
  reason = read_reason();
  clocks_start();
  pulses_start();
  GPIO_BSRR(GPIOC) = 1u << (LAMP_BIT + 16u);
  pin_mode(GPIOC, LAMP_BIT, GPIO_OUTPUT, 0);
  link_start();
  IWDG_KR = IWDG_KR_START;
  watchdog_span(BOARD_WATCHDOG_MS);
}

enum board_reset board_reset_reason(void) { return reason; }

void* board_kept(void) { return kept; }

bool board_closed(uint8_t pin) {
  const uint32_t bit = (uint32_t)pin - FIRST_PLAIN_PIN;
  if (bit >= PLAIN_PINS) return true;
  if ((pulled & 1u << bit) == 0) {
    pin_mode(GPIOC, bit, GPIO_INPUT, 0);
    GPIO_PUPDR(GPIOC) = (GPIO_PUPDR(GPIOC) & ~(3u << 2u * bit)) | GPIO_PULL_UP << 2u * bit;
    pulled |= 1u << bit;
    const uint32_t from_us = board_now_us();
    while (board_now_us() - from_us < RISE_US) {
    }
  }
  return (GPIO_IDR(GPIOC) & 1u << bit) == 0;
}

void board_power(uint8_t pin, bool on) {
  const uint32_t bit = (uint32_t)pin - FIRST_PLAIN_PIN;
  if (bit >= PLAIN_PINS) return;
  GPIO_BSRR(GPIOC) = on ? 1u << bit : 1u << (bit + 16u);
  pin_mode(GPIOC, bit, GPIO_OUTPUT, 0);
}

void board_line(uint8_t pin, bool on) { board_power(pin, on); }

static void converter_start(void) {
  RCC_APB2ENR |= RCC_APB2ENR_ADC1;
  (void)RCC_APB2ENR;
  ADC_CCR = ADC_CCR_PRE4;
  ADC_SMPR1 = ADC_SMPR1_84_CYCLES_10_TO_13;
  ADC_CR2 = ADC_CR2_ADON;
}

/** A conversion takes 96 clocks of 21 MHz, 5 us. The first after the converter's start may be off (it needs 3 us, DS8626): one tick's figure. */
uint32_t board_analog(uint8_t pin) {
  const uint32_t bit = (uint32_t)pin - FIRST_PLAIN_PIN;
  if (bit >= PLAIN_PINS) return 0;
  if ((ADC_CR2 & ADC_CR2_ADON) == 0) converter_start();
  pin_mode(GPIOC, bit, GPIO_ANALOG, 0);
  ADC_SQR3 = FIRST_CHANNEL + bit;
  ADC_SR = 0;
  ADC_CR2 |= ADC_CR2_SWSTART;
  const uint32_t from_us = board_now_us();
  while ((ADC_SR & ADC_SR_EOC) == 0 && board_now_us() - from_us < CONVERSION_MOST_US) {
  }
  const uint32_t counts = ADC_DR & ((1u << ADC_BITS) - 1u);
  return counts << (16u - ADC_BITS) | counts >> (2u * ADC_BITS - 16u);
}

/** Not measured: no pin has a divider, and nothing that could prove one does. */
uint32_t board_supply_mv(void) { return 0; }

void board_lamp(bool on) { GPIO_BSRR(GPIOC) = on ? 1u << LAMP_BIT : 1u << (LAMP_BIT + 16u); }

void watchdog_span(uint32_t ms) {
  IWDG_KR = IWDG_KR_UNLOCK;
  IWDG_PR = IWDG_PR_32;
  IWDG_RLR = ms;
  for (uint32_t look = 0; look < LOOKS / 10 && IWDG_SR != 0; look++) {
  }
  IWDG_KR = IWDG_KR_FEED;
}

void board_feed(void) { IWDG_KR = IWDG_KR_FEED; }

void board_halt(void) {
  __asm volatile("cpsid i" ::: "memory");
  for (;;) {
  }
}
