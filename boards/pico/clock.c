/*
 * The clock tree. Waits have no bound: without a crystal there is no link and no pulse of the right width, so a board whose
 * crystal is dead stays here, silent and without pulses.
 */
#include "board_config.h"
#include "pico.h"

#define US_PER_S 1000000u
/* Data sheet 2.16.3: counts of 256 crystal periods. 6 ms: crystals of other boards are slower than the Pico's. */
#define XOSC_STARTUP_COUNTS (PICO_CRYSTAL_HZ * 6u / 1000u / 256u)
/* 12 MHz x 125 = 1500 MHz, / 6 / 2 = 125 MHz (data sheet 2.18.2.1). */
#define PLL_FBDIV 125u
#define PLL_POSTDIV1 6u
#define PLL_POSTDIV2 2u
_Static_assert(PICO_CRYSTAL_HZ / (PLL_POSTDIV1 * PLL_POSTDIV2) * PLL_FBDIV == PICO_CORE_HZ, "the core's clock");

void blocks_start(uint32_t blocks) {
  CLEAR(RESETS_RESET) = blocks;
  while ((RESETS_RESET_DONE & blocks) != blocks) {
  }
}

void clocks_start(void) {
  XOSC_STARTUP = XOSC_STARTUP_COUNTS;
  XOSC_CTRL = XOSC_CTRL_1_15MHZ | XOSC_CTRL_ENABLE;
  while ((XOSC_STATUS & XOSC_STATUS_STABLE) == 0) {
  }
  /* The core on the crystal while the PLL starts: a warm start may come with the PLL selected. SELECTED is one-hot. */
  CLK_REF_CTRL = CLK_REF_CTRL_SRC_XOSC;
  while (CLK_REF_SELECTED != 1u << CLK_REF_CTRL_SRC_XOSC) {
  }
  CLEAR(CLK_SYS_CTRL) = CLK_SYS_CTRL_SRC_AUX;
  while (CLK_SYS_SELECTED != 1u << 0) {
  }
  SET(RESETS_RESET) = RESETS_PLL_SYS;
  blocks_start(RESETS_PLL_SYS);
  PLL_SYS_CS = 1; /* REFDIV */
  PLL_SYS_FBDIV = PLL_FBDIV;
  CLEAR(PLL_SYS_PWR) = PLL_PWR_PD | PLL_PWR_VCOPD;
  while ((PLL_SYS_CS & PLL_CS_LOCK) == 0) {
  }
  PLL_SYS_PRIM = PLL_POSTDIV1 << PLL_PRIM_POSTDIV1_SHIFT | PLL_POSTDIV2 << PLL_PRIM_POSTDIV2_SHIFT;
  CLEAR(PLL_SYS_PWR) = PLL_PWR_POSTDIVPD;
  CLK_SYS_CTRL = CLK_SYS_CTRL_SRC_AUX;
  while (CLK_SYS_SELECTED != 1u << CLK_SYS_CTRL_SRC_AUX) {
  }
  CLK_PERI_CTRL = CLK_PERI_CTRL_ENABLE;
  WATCHDOG_TICK = WATCHDOG_TICK_ENABLE | PICO_CRYSTAL_HZ / US_PER_S;
}
