/*
 * UART0, an interrupt on both sides: what comes goes into a ring, what goes leaves one as the transmitter takes it. Rings
 * have free-running counts: head of bytes put, tail of bytes taken. Bytes that the chip marks as damaged, or lost to a full
 * buffer, fail their frame's checksum.
 */
#include "board.h"
#include "pico.h"

#define RING_BYTES 1024u
/** In 1/64 of 16 core clocks (data sheet 4.2.7.1): 15.625 exactly for 500 kbaud. */
#define DIVIDER (PICO_CORE_HZ * 4u / PICO_BAUD)
_Static_assert(PICO_CORE_HZ * 4ull < 1ull << 32, "DIVIDER fits");

static struct {
  volatile uint32_t head, tail;
  uint8_t data[RING_BYTES];
} rx, tx;

void link_interrupt(void);

void link_start(void) {
  UART_IBRD = DIVIDER / 64u;
  UART_FBRD = DIVIDER % 64u;
  UART_LCR_H = UART_LCR_H_8_BITS | UART_LCR_H_FEN;
  UART_CR = UART_CR_ON;
  /* Half a buffer, or a few bytes and then a pause: 16 bytes, 320 us, are left to answer in. */
  UART_IMSC = UART_IM_RX | UART_IM_RT;
  /* An open line reads idle, not noise. */
  pin_mode(0, PAD_4MA | PAD_SCHMITT | PAD_PULL_UP, GPIO_FUNC_UART);
  pin_mode(1, PAD_INPUT | PAD_SCHMITT | PAD_PULL_UP, GPIO_FUNC_UART);
  NVIC_ISER = 1u << IRQ_UART0;
}

/** Moves bytes to the transmitter while it takes them. A full one interrupts on its way to empty, so the rest follows. */
static void pump(void) {
  uint32_t tail = tx.tail;
  const uint32_t head = tx.head;
  while (tail != head && (UART_FR & UART_FR_TXFF) == 0) UART_DR = tx.data[tail++ % RING_BYTES];
  tx.tail = tail;
  UART_IMSC = UART_IM_RX | UART_IM_RT | (tail != head ? UART_IM_TX : 0);
}

void link_interrupt(void) {
  uint32_t head = rx.head;
  const uint32_t tail = rx.tail;
  while ((UART_FR & UART_FR_RXFE) == 0) {
    const uint8_t byte = (uint8_t)UART_DR;
    if (head - tail < RING_BYTES) rx.data[head++ % RING_BYTES] = byte;
  }
  rx.head = head;
  pump();
}

size_t board_receive(uint8_t* to, size_t n) {
  uint32_t tail = rx.tail;
  const uint32_t waiting = rx.head - tail;
  if (n > waiting) n = waiting;
  for (size_t i = 0; i < n; i++) to[i] = rx.data[tail++ % RING_BYTES];
  rx.tail = tail;
  return n;
}

size_t board_send(const uint8_t* from, size_t n) {
  uint32_t head = tx.head;
  const uint32_t room = RING_BYTES - (head - tx.tail);
  if (n > room) n = room;
  for (size_t i = 0; i < n; i++) tx.data[head++ % RING_BYTES] = from[i];
  tx.head = head;
  const uint32_t before = interrupts_off();
  pump();
  interrupts_restore(before);
  return n;
}
