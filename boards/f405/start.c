/* From reset to main: vectors, floating-point unit, memory. The record that survives a reset (.noinit) is left alone. */
#include <string.h>

#include "board.h"
#include "f405.h"

extern uint8_t stack_top[], data_start[], data_end[], bss_start[], bss_end[];
extern const uint8_t data_from[];

int main(void);
void reset(void) __attribute__((noreturn));
void tick_interrupt(void);
void link_interrupt(void);

/** A fault, or an interrupt that nobody asked for: as a trap of the controller. */
static void fault(void) { board_halt(); }

/* DDI 0403 B1.5.3: 16 of the core; then the chip's, RM0090 table 62, as far as USART1. */
#define USART1_POSITION 37
static const struct {
  uint8_t* stack;
  void (*handler[15 + USART1_POSITION + 1])(void);
} vectors __attribute__((section(".vectors"), used)) = {
    stack_top,
    {reset, fault, fault, fault, fault, fault, fault, fault, fault, fault, fault, fault, fault, fault, tick_interrupt,
     [15 ... 15 + USART1_POSITION - 1] = fault, [15 + USART1_POSITION] = link_interrupt},
};

void reset(void) {
  SCB_VTOR = (uint32_t)&vectors;
  SCB_CPACR |= SCB_CPACR_FPU;
  __asm volatile("dsb\n isb" ::: "memory");
  memcpy(data_start, data_from, (size_t)(data_end - data_start));
  memset(bss_start, 0, (size_t)(bss_end - bss_start));
  main();
  board_halt();
}
