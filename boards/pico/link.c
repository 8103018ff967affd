/*
 * UART0, its bytes moved by two channels of the DMA: what comes goes into a ring, what goes leaves one. Rings have free-running
 * counts; the channels wrap by themselves (data sheet 2.5.1.3). The core only hears of a stretch that has been sent. Bytes that the
 * chip marks as damaged, or that a full ring lost, fail their frame's checksum.
 */
#include <string.h>

#include "board.h"
#include "pico.h"

#define RING_BITS 10u
#define RING_BYTES (1u << RING_BITS)
/** In 1/64 of 16 core clocks (data sheet 4.2.7.1): 15.625 exactly for 500 kbaud. */
#define DIVIDER (PICO_CORE_HZ * 4u / PICO_BAUD)
_Static_assert(PICO_CORE_HZ * 4ull < 1ull << 32, "DIVIDER fits");

enum { RX, TX };
#define CTRL(channel, request, more) \
  (DMA_CTRL_EN | RING_BITS << DMA_CTRL_RING_SIZE_SHIFT | (channel) << DMA_CTRL_CHAIN_TO_SHIFT | (request) << DMA_CTRL_TREQ_SHIFT | (more))

static uint8_t rx_ring[RING_BYTES] __attribute__((aligned(RING_BYTES), section(".rings")));
static uint8_t tx_ring[RING_BYTES] __attribute__((aligned(RING_BYTES), section(".rings")));
/** Received: bytes taken, and those that had come when the channel was started. */
static uint32_t rx_tail, rx_began;
/** To send: bytes put, and bytes that the channel has been given. */
static volatile uint32_t tx_head, tx_given;

void link_interrupt(void);

/** A channel counts down; this lasts a day of a full line. */
static void listen(void) { DMA_TRANS_COUNT_TRIG(RX) = UINT32_MAX; }

void uart_start(void) {
  UART_IBRD = DIVIDER / 64u;
  UART_FBRD = DIVIDER % 64u;
  UART_LCR_H = UART_LCR_H_8_BITS | UART_LCR_H_FEN;
  UART_DMACR = UART_DMACR_RX | UART_DMACR_TX;
  DMA_READ_ADDR(RX) = (uintptr_t)&UART_DR;
  DMA_WRITE_ADDR(RX) = (uintptr_t)rx_ring;
  DMA_CTRL(RX) = CTRL(RX, DREQ_UART0_RX, DMA_CTRL_RING_WRITE | DMA_CTRL_INCR_WRITE);
  listen();
  DMA_READ_ADDR(TX) = (uintptr_t)tx_ring;
  DMA_WRITE_ADDR(TX) = (uintptr_t)&UART_DR;
  DMA_CTRL(TX) = CTRL(TX, DREQ_UART0_TX, DMA_CTRL_INCR_READ);
  DMA_INTE0 = 1u << TX;
  UART_CR = UART_CR_ON;
  /* An open line reads idle, not noise. */
  pin_mode(0, PAD_4MA | PAD_SCHMITT | PAD_PULL_UP, GPIO_FUNC_UART);
  pin_mode(1, PAD_INPUT | PAD_SCHMITT | PAD_PULL_UP, GPIO_FUNC_UART);
  NVIC_ISER = 1u << IRQ_DMA_0;
}

/** Gives the channel what has been put since, if it is done with the last stretch. */
static void pump(void) {
  const uint32_t n = tx_head - tx_given;
  if (n == 0 || (DMA_CTRL(TX) & DMA_CTRL_BUSY) != 0) return;
  tx_given += n;
  DMA_TRANS_COUNT_TRIG(TX) = n;
}

/** A stretch has been sent. */
void link_interrupt(void) {
  DMA_INTS0 = 1u << TX;
  pump();
}

/** Copies out of a ring, or into it, in at most two parts. */
static void copy_out(uint8_t* to, const uint8_t* ring, uint32_t count, size_t n) {
  const uint32_t index = count % RING_BYTES;
  const size_t straight = RING_BYTES - index < n ? RING_BYTES - index : n;
  memcpy(to, ring + index, straight);
  memcpy(to + straight, ring, n - straight);
}

static void copy_in(uint8_t* ring, uint32_t count, const uint8_t* from, size_t n) {
  const uint32_t index = count % RING_BYTES;
  const size_t straight = RING_BYTES - index < n ? RING_BYTES - index : n;
  memcpy(ring + index, from, straight);
  memcpy(ring, from + straight, n - straight);
}

/** Bytes that have come in all. */
static uint32_t received(void) {
  const uint32_t head = rx_began + (UINT32_MAX - DMA_TRANS_COUNT(RX));
  if ((DMA_CTRL(RX) & DMA_CTRL_BUSY) == 0) {
    rx_began = head;
    listen();
  }
  return head;
}

void uart_forget(void) { rx_tail = received(); }

size_t uart_receive(uint8_t* to, size_t n) {
  const uint32_t head = received();
  /* Overrun: what is in the ring is of two ages. */
  if (head - rx_tail > RING_BYTES) rx_tail = head;
  if (n > head - rx_tail) n = head - rx_tail;
  copy_out(to, rx_ring, rx_tail, n);
  rx_tail += (uint32_t)n;
  return n;
}

size_t uart_send(const uint8_t* from, size_t n) {
  const uint32_t before = interrupts_off();
  const uint32_t left = (DMA_CTRL(TX) & DMA_CTRL_BUSY) != 0 ? DMA_TRANS_COUNT(TX) : 0;
  const uint32_t room = RING_BYTES - (tx_head - tx_given) - left;
  if (n > room) n = room;
  copy_in(tx_ring, tx_head, from, n);
  tx_head += (uint32_t)n;
  pump();
  interrupts_restore(before);
  return n;
}
