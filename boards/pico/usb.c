/*
 * The chip's USB controller as a serial port (data sheet 4.1): the link's packets, the bus's events. Each way has 16 packets in the
 * controller's own memory; received ones wait there for the main loop, which never waits for the host. A host that does not read, a
 * packet that goes wrong and a cable that is pulled are a link that is silent: frames that find no room are dropped whole, by the
 * controller's ring. Bytes that come while the port is closed are dropped.
 *
 * Errata: E15 (an IN transfer near a frame's end can hang the controller): packets are not offered in a frame's last fifth. E5 (chips
 * B0 and B1 may not leave a bus reset behind a busy hub) has a cure that takes GPIO 15, which drives a servo here: not applied; such a
 * chip belongs on a port of its own. Nothing of this has run on silicon.
 */
#include "usb.h"

#include <string.h>

#include "board.h"
#include "pico.h"

#define SLOTS 16u
#define OUT_AT 0x180u
#define IN_AT (OUT_AT + SLOTS * USB_PACKET)
_Static_assert(IN_AT + SLOTS * USB_PACKET <= 4096, "the controller's memory");

/** Stretch of a frame, us from its start, in which E15 forbids to offer a packet. Past it the start was missed. */
#define LATE_FROM_US 800u
#define LATE_TO_US 998u
#define TOUCH_BAUD 1200u

/** Packets: free-running counts of those that have come in and gone out of their slots; the PID of the next on the bus. */
static struct way {
  uint32_t head, tail, pid;
  /** The controller has a buffer. */
  bool busy;
  uint8_t bytes[SLOTS];
} out, in;
/** Bytes taken of the packet at out.tail; put into the slot at in.head. */
static uint32_t taken, put;
/** The packet with the controller has no bytes; the last one was full, so that an empty one must end the transfer. */
static bool in_empty, in_full;

static volatile bool configured, dtr, suspended, touched;
static uint32_t frame_us;

void usb_interrupt(void);

bool usb_open(void) { return configured && dtr && !suspended; }

bool usb_configured(void) { return configured; }

static uint8_t* slot(uint32_t from, uint32_t count) { return (uint8_t*)(uintptr_t)(USB_DPRAM + from + count % SLOTS * USB_PACKET); }

void usb_arm(volatile uint32_t* control, uint32_t word) {
  *control = word;
  /* The controller's clock is slower and must see the word before it may use it (data sheet 4.1.2.5.1). */
  __asm volatile("b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1:" ::: "memory");
  *control = word | USB_BUFFER_AVAILABLE;
}

#define ENDPOINT_ON (USB_ENDPOINT_ENABLE | USB_ENDPOINT_INTERRUPT)

static void offer(uint32_t way, uint32_t at, uint32_t word) {
  USB_ENDPOINT(USB_EP_LINK, way) = ENDPOINT_ON | USB_ENDPOINT_BULK | at;
  usb_arm(&USB_BUFFER(USB_EP_LINK, way), word);
}

/** Lets the host send, if there is a slot for it. */
static void arm_out(void) {
  if (!configured || out.busy || out.head - out.tail == SLOTS) return;
  out.busy = true;
  offer(USB_OUT, OUT_AT + out.head % SLOTS * USB_PACKET, out.pid | USB_PACKET);
}

static void close_slot(void) {
  in.bytes[in.head % SLOTS] = (uint8_t)put;
  in.head++;
  put = 0;
}

static bool late_in_frame(void) {
  const uint32_t since_us = board_now_us() - frame_us;
  return since_us >= LATE_FROM_US && since_us < LATE_TO_US;
}

/** Offers what waits to be sent; late in a frame, the next frame does. */
static void arm_in(void) {
  if (!configured || in.busy || late_in_frame()) return;
  if (in.tail == in.head && put > 0) close_slot();
  in_empty = in.tail == in.head;
  if (in_empty && !in_full) return;
  const uint32_t n = in_empty ? 0 : in.bytes[in.tail % SLOTS];
  in_full = n == USB_PACKET;
  in.busy = true;
  offer(USB_IN, IN_AT + in.tail % SLOTS * USB_PACKET, USB_BUFFER_FULL | in.pid | n);
}

/** Forgets what has not been read and what has not been sent; a packet with the controller stays there. */
static void drop(void) {
  out.tail = out.head;
  taken = 0;
  in.head = in.tail + (in.busy && !in_empty ? 1u : 0u);
  put = 0;
  arm_out();
}

static void received(void) {
  out.busy = false;
  out.pid ^= USB_BUFFER_DATA1;
  out.bytes[out.head % SLOTS] = (uint8_t)(USB_BUFFER(USB_EP_LINK, USB_OUT) & USB_BUFFER_LENGTH);
  if (usb_open()) out.head++;
  arm_out();
}

static void sent(void) {
  in.busy = false;
  in.pid ^= USB_BUFFER_DATA1;
  if (!in_empty) in.tail++;
  arm_in();
}

/** One way begins anew: nothing with the controller, DATA0 next. A packet that was with it goes again. */
static void restart(struct way* way, uint32_t which) {
  USB_BUFFER(USB_EP_LINK, which) = 0;
  way->busy = false;
  way->pid = 0;
}

void usb_configure(bool on) {
  restart(&out, USB_OUT);
  restart(&in, USB_IN);
  in_full = false;
  configured = on;
  dtr = false;
  /* On without a buffer an endpoint answers that it has nothing; off it would not answer. */
  USB_ENDPOINT(USB_EP_NOTES, USB_IN) = on ? ENDPOINT_ON | USB_ENDPOINT_INTERRUPT_TYPE | IN_AT : 0;
  USB_ENDPOINT(USB_EP_LINK, USB_IN) = on ? ENDPOINT_ON | USB_ENDPOINT_BULK | IN_AT : 0;
  USB_ENDPOINT(USB_EP_LINK, USB_OUT) = on ? ENDPOINT_ON | USB_ENDPOINT_BULK | OUT_AT : 0;
  drop();
}

bool usb_unhalt(uint32_t endpoint, uint32_t way) {
  if (endpoint == USB_EP_NOTES && way == USB_IN) return true;
  if (endpoint != USB_EP_LINK) return false;
  restart(way == USB_OUT ? &out : &in, way);
  arm_out();
  arm_in();
  return true;
}

void usb_line(bool on, uint32_t baud) {
  if (dtr && !on && baud == TOUCH_BAUD) touched = true;
  dtr = on;
  drop();
}

bool usb_touched(void) {
  const bool was = touched;
  if (was) touched = false;
  return was;
}

static void bus_reset(void) {
  usb_configure(false);
  control_reset();
  suspended = false;
  USB_ADDR_ENDP = 0;
  CLEAR(USB_SIE_STATUS) = USB_SIE_STATUS_BUS_RESET;
}

static void frame_begins(void) {
  (void)USB_SOF_RD;
  frame_us = board_now_us();
  suspended = false;
  arm_in();
}

static void buffers_done(void) {
  const uint32_t done = USB_BUFF_STATUS;
  CLEAR(USB_BUFF_STATUS) = done;
  if ((done & USB_BUFF_BIT(0, USB_IN)) != 0) control_sent();
  if ((done & USB_BUFF_BIT(0, USB_OUT)) != 0) control_received();
  if ((done & USB_BUFF_BIT(USB_EP_LINK, USB_OUT)) != 0 && out.busy) received();
  if ((done & USB_BUFF_BIT(USB_EP_LINK, USB_IN)) != 0 && in.busy) sent();
}

/** In this order: what a reset ended is not answered, and a request comes after the buffers of the one before it. */
void usb_interrupt(void) {
  const uint32_t why = USB_INTS;
  if ((why & USB_INT_BUS_RESET) != 0) bus_reset();
  if ((why & USB_INT_SUSPEND) != 0) {
    CLEAR(USB_SIE_STATUS) = USB_SIE_STATUS_SUSPENDED;
    suspended = true;
    drop();
  }
  if ((why & USB_INT_RESUME) != 0) {
    CLEAR(USB_SIE_STATUS) = USB_SIE_STATUS_RESUME;
    suspended = false;
  }
  if ((why & USB_INT_SOF) != 0) frame_begins();
  if ((why & USB_INT_BUFF_STATUS) != 0) buffers_done();
  if ((why & USB_INT_SETUP) != 0) control_setup();
}

void usb_start(void) {
  usb_descriptors_start();
  SET(RESETS_RESET) = RESETS_USBCTRL;
  blocks_start(RESETS_USBCTRL);
  for (uint32_t at = 0; at < USB_DPRAM_WORDS_END; at += 4) REG(USB_DPRAM + at) = 0;
  USB_MUXING = USB_MUXING_PHY;
  USB_PWR = USB_PWR_VBUS;
  USB_MAIN_CTRL = USB_MAIN_CTRL_ENABLE;
  USB_INTE = USB_INT_BUS_RESET | USB_INT_SUSPEND | USB_INT_RESUME | USB_INT_SOF | USB_INT_BUFF_STATUS | USB_INT_SETUP;
  NVIC_ISER = 1u << IRQ_USBCTRL;
  USB_SIE_CTRL = USB_SIE_CTRL_EP0_INTERRUPT | USB_SIE_CTRL_PULLUP;
}

void usb_leave(void) {
  USB_INTE = 0;
  USB_SIE_CTRL = 0;
  configured = false;
}

/** A packet's rest, or as much of it as is wanted. Interrupts wait for at most 64 bytes. */
static size_t take(uint8_t* to, size_t n) {
  const uint32_t before = interrupts_off();
  size_t k = 0;
  if (out.tail != out.head) {
    const size_t left = out.bytes[out.tail % SLOTS] - taken;
    k = n < left ? n : left;
    memcpy(to, slot(OUT_AT, out.tail) + taken, k);
    taken += (uint32_t)k;
    if (k == left) {
      out.tail++;
      taken = 0;
      arm_out();
    }
  }
  interrupts_restore(before);
  return k;
}

size_t usb_receive(uint8_t* to, size_t n) {
  size_t got = 0;
  while (got < n && out.tail != out.head) got += take(to + got, n - got);
  return got;
}

static size_t fill(const uint8_t* from, size_t n) {
  const uint32_t before = interrupts_off();
  size_t k = 0;
  if (usb_open() && in.head - in.tail < SLOTS) {
    k = USB_PACKET - put < n ? USB_PACKET - put : n;
    memcpy(slot(IN_AT, in.head) + put, from, k);
    put += (uint32_t)k;
    if (put == USB_PACKET) close_slot();
  }
  interrupts_restore(before);
  return k;
}

size_t usb_send(const uint8_t* from, size_t n) {
  size_t given = 0, k = 1;
  for (; given < n && k > 0; given += k) k = fill(from + given, n - given);
  const uint32_t before = interrupts_off();
  arm_in();
  interrupts_restore(before);
  return given;
}
