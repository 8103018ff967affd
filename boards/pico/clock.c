/*
 * The clock tree. Waits have no bound: without a crystal there is no link and no pulse of the right width, so a board whose
 * crystal is dead stays here, silent and without pulses.
 */
#include "board_config.h"
#include "pico.h"

#define US_PER_S 1000000u
/* Data sheet 2.16.3: counts of 256 crystal periods. 6 ms: crystals of other boards are slower than the Pico's. */
#define XOSC_STARTUP_COUNTS (PICO_CRYSTAL_HZ * 6u / 1000u / 256u)
/* Data sheet 2.18.2.1: 12 MHz x 125 = 1500 MHz, / 6 / 2 = 125 MHz; 12 MHz x 100 = 1200 MHz, / 5 / 5 = 48 MHz. */
#define SYS_FBDIV 125u
#define SYS_POSTDIV1 6u
#define SYS_POSTDIV2 2u
#define USB_FBDIV 100u
#define USB_POSTDIV1 5u
#define USB_POSTDIV2 5u
_Static_assert(PICO_CRYSTAL_HZ / (SYS_POSTDIV1 * SYS_POSTDIV2) * SYS_FBDIV == PICO_CORE_HZ, "the core's clock");
_Static_assert(PICO_CRYSTAL_HZ / (USB_POSTDIV1 * USB_POSTDIV2) * USB_FBDIV == 48000000u, "the clock of the converter and of USB");

void blocks_start(uint32_t blocks) {
  CLEAR(RESETS_RESET) = blocks;
  while ((RESETS_RESET_DONE & blocks) != blocks) {
  }
}

/** From the crystal; in `reset` its bit of RESETS. Returns when it has locked. */
static void pll_start(uint32_t pll, uint32_t reset, uint32_t fbdiv, uint32_t postdiv1, uint32_t postdiv2) {
  SET(RESETS_RESET) = reset;
  blocks_start(reset);
  PLL_CS(pll) = 1; /* REFDIV */
  PLL_FBDIV(pll) = fbdiv;
  CLEAR(PLL_PWR(pll)) = PLL_PWR_PD | PLL_PWR_VCOPD;
  while ((PLL_CS(pll) & PLL_CS_LOCK) == 0) {
  }
  PLL_PRIM(pll) = postdiv1 << PLL_PRIM_POSTDIV1_SHIFT | postdiv2 << PLL_PRIM_POSTDIV2_SHIFT;
  CLEAR(PLL_PWR(pll)) = PLL_PWR_POSTDIVPD;
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
  pll_start(PLL_SYS, RESETS_PLL_SYS, SYS_FBDIV, SYS_POSTDIV1, SYS_POSTDIV2);
  pll_start(PLL_USB, RESETS_PLL_USB, USB_FBDIV, USB_POSTDIV1, USB_POSTDIV2);
  CLK_SYS_CTRL = CLK_SYS_CTRL_SRC_AUX;
  while (CLK_SYS_SELECTED != 1u << CLK_SYS_CTRL_SRC_AUX) {
  }
  CLK_PERI_CTRL = CLK_PERI_CTRL_ENABLE;
  CLK_USB_CTRL = CLK_USB_CTRL_ENABLE;
  CLK_ADC_CTRL = CLK_ADC_CTRL_ENABLE;
  WATCHDOG_TICK = WATCHDOG_TICK_ENABLE | PICO_CRYSTAL_HZ / US_PER_S;
}
