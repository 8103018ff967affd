/* Start-up of the whole board, and its small parts: reset reason, plain pins, watchdog, the record that survives. */
#include "board.h"
#include "pico.h"
#include "usb.h"

/* GPIO 18 to 22, 26 and 27. */
#define PLAIN_PINS (0x1fu << 18 | 3u << 26)
/** A line of 1 nF behind the 80 kOhm of a pull-up has risen after 200 us. */
#define RISE_US 200u
/** In SCRATCH0 while this firmware's watchdog runs: a reset of the boot ROM's own making is another matter. */
#define OUR_WATCHDOG 0x50575744u
/** Erratum RP2040-E1: the watchdog counts two a microsecond. */
#define WATCHDOG_COUNTS_PER_US 2u

static uint32_t kept[BOARD_KEPT_BYTES / 4] __attribute__((section(".noinit")));
_Static_assert(BOARD_KEPT_BYTES % 4 == 0, "the record is made of words");
_Static_assert(BOARD_WATCHDOG_MS * 1000u * WATCHDOG_COUNTS_PER_US <= WATCHDOG_LOAD_MOST, "the watchdog's span");

static enum board_reset reason;
/** Plain pins whose pull-up is on. */
static uint32_t pulled;

void pin_mode(uint32_t pin, uint32_t pad, uint32_t function) {
  PAD(pin) = pad;
  GPIO_CTRL(pin) = function;
}

/** Data sheet 4.7.4 and 2.12.7. What CHIP_RESET says outlives a watchdog's reset, so the watchdog is asked first. */
static enum board_reset read_reason(void) {
  if (WATCHDOG_REASON != 0) return WATCHDOG_SCRATCH0 == OUR_WATCHDOG ? BOARD_RESET_WATCHDOG : BOARD_RESET_POWER;
  if ((CHIP_RESET & CHIP_RESET_HAD_POR) != 0) return BOARD_RESET_POWER;
  return (CHIP_RESET & CHIP_RESET_HAD_RUN) != 0 ? BOARD_RESET_PIN : BOARD_RESET_POWER;
}

static bool is_plain(uint8_t pin) { return pin < 32 && (PLAIN_PINS & 1u << pin) != 0; }

static void output(uint32_t pin, bool on) {
  if (on)
    SIO_GPIO_OUT_SET = 1u << pin;
  else
    SIO_GPIO_OUT_CLR = 1u << pin;
  SIO_GPIO_OE_SET = 1u << pin;
  pin_mode(pin, PAD_4MA | PAD_SCHMITT | PAD_PULL_DOWN, GPIO_FUNC_SIO);
}

void watchdog_reload(uint32_t for_us) {
  const uint32_t most_us = WATCHDOG_LOAD_MOST / WATCHDOG_COUNTS_PER_US;
  WATCHDOG_LOAD = (for_us < most_us ? for_us : most_us) * WATCHDOG_COUNTS_PER_US;
}

void board_start(void) {
  reason = read_reason();
  blocks_start(RESETS_ADC | RESETS_DMA | RESETS_IO_BANK0 | RESETS_PADS_BANK0 | RESETS_PWM | RESETS_TIMER | RESETS_UART0);
  pulses_start();
  output(PICO_LAMP, false);
  supply_start();
  uart_start();
  usb_start();
  tick_start();
  /* It resets all but the oscillators, as at power-up. */
  PSM_WDSEL = PSM_ALL & ~(PSM_ROSC | PSM_XOSC);
  WATCHDOG_SCRATCH0 = OUR_WATCHDOG;
  board_feed();
  WATCHDOG_CTRL = WATCHDOG_CTRL_ENABLE | WATCHDOG_CTRL_PAUSE;
}

enum board_reset board_reset_reason(void) { return reason; }

void* board_kept(void) { return kept; }

bool board_closed(uint8_t pin) {
  if (!is_plain(pin)) return true;
  if ((pulled & 1u << pin) == 0) {
    SIO_GPIO_OE_CLR = 1u << pin;
    pin_mode(pin, PAD_INPUT | PAD_PULL_UP | PAD_SCHMITT, GPIO_FUNC_SIO);
    pulled |= 1u << pin;
    const uint32_t from_us = board_now_us();
    while (board_now_us() - from_us < RISE_US) {
    }
  }
  return (SIO_GPIO_IN & 1u << pin) == 0;
}

void board_power(uint8_t pin, bool on) {
  if (is_plain(pin)) output(pin, on);
}

void board_line(uint8_t pin, bool on) { board_power(pin, on); }

void board_lamp(bool on) { output(PICO_LAMP, on); }

void board_feed(void) { watchdog_reload(BOARD_WATCHDOG_MS * 1000u); }

/** Data sheet 2.8.3. What the ROM keeps in SCRATCH0 for it is not OUR_WATCHDOG: the start after it counts as power-up. */
void board_boot(void) {
  usb_leave();
  uintptr_t table = ROM_TABLE_AT, lookup = ROM_LOOKUP_AT;
  /* The compiler takes a small address for a null pointer's field. */
  __asm volatile("" : "+r"(table), "+r"(lookup));
  void* (*const look_up)(const void*, uint32_t) = (void* (*)(const void*, uint32_t))(uintptr_t)*(const volatile uint16_t*)lookup;
  void (*const usb_boot)(uint32_t, uint32_t) =
      (void (*)(uint32_t, uint32_t))look_up((const void*)(uintptr_t)*(const volatile uint16_t*)table, ROM_USB_BOOT);
  if (usb_boot != NULL) usb_boot(1u << PICO_LAMP, 0);
  board_halt();
}

void board_halt(void) {
  (void)interrupts_off();
  for (;;) {
  }
}
