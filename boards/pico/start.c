/* From the second stage to main: vectors and memory. The record that survives a reset (.noinit) is left alone. */
#include <string.h>

#include "board.h"
#include "pico.h"

extern uint8_t stack_top[], data_start[], data_end[], bss_start[], bss_end[];
extern const uint8_t data_from[];

int main(void);
void reset(void) __attribute__((noreturn));
void tick_interrupt(void);
void link_interrupt(void);
void usb_interrupt(void);

/** A fault, or an interrupt that nobody asked for: as a trap of the controller. */
static void fault(void) { board_halt(); }

/* DDI 0419 B1.5.3: 16 of the core, the chip's after them. */
static const struct {
  uint8_t* stack;
  void (*handler[15 + IRQS])(void);
} vectors __attribute__((section(".vectors"), used, aligned(256))) = {
    stack_top,
    {reset, [1 ... 15 + IRQ_TIMER_0 - 1] = fault, [15 + IRQ_TIMER_0] = tick_interrupt,
     [15 + IRQ_TIMER_0 + 1 ... 15 + IRQ_USBCTRL - 1] = fault, [15 + IRQ_USBCTRL] = usb_interrupt,
     [15 + IRQ_USBCTRL + 1 ... 15 + IRQ_DMA_0 - 1] = fault, [15 + IRQ_DMA_0] = link_interrupt,
     [15 + IRQ_DMA_0 + 1 ... 15 + IRQS - 1] = fault},
};

void reset(void) {
  /* Clocks first: at the speed the chip starts with, the copy would take a quarter of a second, at this one 13 ms. */
  CLEAR(WATCHDOG_CTRL) = WATCHDOG_CTRL_ENABLE;
  clocks_start();
  memcpy(data_start, data_from, (size_t)(data_end - data_start));
  memset(bss_start, 0, (size_t)(bss_end - bss_start));
  main();
  board_halt();
}
