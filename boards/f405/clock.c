/* Clock tree: RM0090 7.2. Waits are bounded; what did not come up is left out, and the rest of the board is told. */
#include "board.h"
#include "f405.h"

#define HSI_HZ 16000000u
#define CORE_HZ 168000000u
/* The PLL's input is 2 MHz (RM0090 7.3.2 recommends it against jitter), times 168, by 2. */
#define PLL_INPUT_HZ 2000000u
#define PLL_N (168u << 6)
#define PLL_Q (7u << 24)
_Static_assert(F405_CRYSTAL_HZ % PLL_INPUT_HZ == 0 && F405_CRYSTAL_HZ >= 4000000u && F405_CRYSTAL_HZ <= 26000000u,
               "F405_CRYSTAL_HZ: even MHz, 4 to 26 (DS8626)");

struct clocks clocks;

static bool until_set(volatile uint32_t* at, uint32_t mask, uint32_t value) {
  for (uint32_t look = 0; look < LOOKS / 100; look++)
    if ((*at & mask) == value) return true;
  return false;
}

/** Locks the PLL onto a source; false: it stays off. */
static bool lock(uint32_t source_hz, uint32_t source) {
  RCC_PLLCFGR = source_hz / PLL_INPUT_HZ | PLL_N | PLL_Q | source;
  RCC_CR |= RCC_CR_PLLON;
  if (until_set(&RCC_CR, RCC_CR_PLLRDY, RCC_CR_PLLRDY)) return true;
  RCC_CR &= ~RCC_CR_PLLON;
  return false;
}

static bool pll(void) {
  RCC_CR |= RCC_CR_HSEON;
  if (until_set(&RCC_CR, RCC_CR_HSERDY, RCC_CR_HSERDY) && lock(F405_CRYSTAL_HZ, RCC_PLLCFGR_SRC_HSE)) return true;
  return lock(HSI_HZ, 0);
}

static bool fast(void) {
  /* 0x83 in its low byte after reset. 0: an emulator without a clock tree, which runs at full speed from the start. */
  if (RCC_CR == 0) return true;
  if (!pll()) return false;
  FLASH_ACR = FLASH_ACR_5_WAITS | FLASH_ACR_PRFTEN | FLASH_ACR_ICEN | FLASH_ACR_DCEN;
  RCC_CFGR = RCC_CFGR_PPRE1_4 | RCC_CFGR_PPRE2_2;
  RCC_CFGR |= RCC_CFGR_SW_PLL;
  if (until_set(&RCC_CFGR, RCC_CFGR_SWS_MASK, RCC_CFGR_SWS_PLL)) return true;
  RCC_CFGR = 0;
  return false;
}

void clocks_start(void) {
  /* Timers run at twice their bus, where that is divided (RM0090 7.2). */
  clocks = fast() ? (struct clocks){.core = CORE_HZ, .apb2 = CORE_HZ / 2, .timers = CORE_HZ / 2}
                  : (struct clocks){.core = HSI_HZ, .apb2 = HSI_HZ, .timers = HSI_HZ};
  RCC_AHB1ENR |= RCC_AHB1ENR_GPIOABC;
  RCC_APB1ENR |= RCC_APB1ENR_TIM2345;
  RCC_APB2ENR |= RCC_APB2ENR_USART1;
  /* Two bus clocks pass before a block listens (RM0090 7.3.10): a read takes them. */
  (void)RCC_APB2ENR;
}
