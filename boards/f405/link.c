/*
 * USART1. An interrupt puts what comes into a ring; what goes waits in another and is sent while the main loop waits for
 * its tick. Rings have free-running counts: head of bytes put, tail of bytes taken. A debugger may play the line: it writes
 * bytes and head of `link_rx`, and takes those of `link_tx` by moving its tail.
 */
#include <string.h>

#include "board.h"
#include "f405.h"

#define RING_BYTES 1024u

struct ring {
  volatile uint32_t head, tail;
  uint8_t data[RING_BYTES];
};
struct ring link_rx, link_tx;

/** Bytes move before the count that gives them away: one core, so that only the compiler must be told. */
static inline void in_order(void) { __asm volatile("" ::: "memory"); }

void link_interrupt(void);

void link_start(void) {
  pin_mode(GPIOA, 9, GPIO_ALTERNATE, 7);
  pin_mode(GPIOA, 10, GPIO_ALTERNATE, 7);
  /* An open line reads idle, not noise. */
  GPIO_PUPDR(GPIOA) |= GPIO_PULL_UP << 20;
  USART_BRR = (clocks.apb2 + F405_BAUD / 2) / F405_BAUD;
  USART_CR1 = USART_CR1_UE | USART_CR1_TE | USART_CR1_RE | USART_CR1_RXNEIE;
  NVIC_ISER1 = NVIC_ISER1_USART1;
}

void link_interrupt(void) {
  /* Reading SR, then DR, clears RXNE and an overrun alike (RM0090 30.6.1); bytes lost to it fail their frame's checksum. */
  if ((USART_SR & (USART_SR_RXNE | USART_SR_ORE)) == 0) return;
  const uint8_t byte = (uint8_t)USART_DR;
  const uint32_t head = link_rx.head;
  if (head - link_rx.tail == RING_BYTES) return;
  link_rx.data[head % RING_BYTES] = byte;
  in_order();
  link_rx.head = head + 1;
}

bool link_pump(void) {
  uint32_t tail = link_tx.tail;
  const uint32_t head = link_tx.head;
  while (tail != head && (USART_SR & USART_SR_TXE) != 0) USART_DR = link_tx.data[tail++ % RING_BYTES];
  link_tx.tail = tail;
  return tail != head;
}

/** The piece of n bytes at a count, in at most two parts: how long the first is. */
static size_t straight(uint32_t count, size_t n) {
  const size_t to_end = RING_BYTES - count % RING_BYTES;
  return n < to_end ? n : to_end;
}

size_t board_receive(uint8_t* to, size_t n) {
  const uint32_t tail = link_rx.tail;
  const uint32_t waiting = link_rx.head - tail;
  if (n > waiting) n = waiting;
  const size_t first = straight(tail, n);
  memcpy(to, link_rx.data + tail % RING_BYTES, first);
  memcpy(to + first, link_rx.data, n - first);
  in_order();
  link_rx.tail = tail + n;
  return n;
}

size_t board_send(const uint8_t* from, size_t n) {
  const uint32_t head = link_tx.head;
  const uint32_t room = RING_BYTES - (head - link_tx.tail);
  if (n > room) n = room;
  const size_t first = straight(head, n);
  memcpy(link_tx.data + head % RING_BYTES, from, first);
  memcpy(link_tx.data, from + first, n - first);
  in_order();
  link_tx.head = head + n;
  return n;
}
