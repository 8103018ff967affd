/*
 * Endpoint 0: requests of USB 2.0 chapter 9 and of CDC PSTN 1.2 (6.3) that a serial port must answer; any other is stalled. Halting
 * an endpoint is not offered. A request ends whatever the one before it was doing (USB 2.0 8.5.3).
 */
#include <string.h>

#include "board.h"
#include "usb.h"

/* bmRequestType and bRequest: USB 2.0 tables 9-3 and 9-4; PSTN 1.2 table 13. */
#define CLEAR_ENDPOINT_FEATURE 0x0201u
#define SET_ADDRESS 0x0005u
#define GET_DESCRIPTOR 0x8006u
#define GET_CONFIGURATION 0x8008u
#define SET_CONFIGURATION 0x0009u
#define GET_INTERFACE 0x810au
#define SET_INTERFACE 0x010bu
#define GET_STATUS_OF_DEVICE 0x8000u
#define GET_STATUS_OF_INTERFACE 0x8100u
#define GET_STATUS_OF_ENDPOINT 0x8200u
#define SET_LINE_CODING 0x2120u
#define GET_LINE_CODING 0xa121u
#define SET_CONTROL_LINE_STATE 0x2122u
#define ENDPOINT_HALT 0u
#define DTR 1u
#define DIRECTION_IN 0x80u
#define CODING_BYTES 7u

static struct {
  enum { IDLE, SENDING, SENT_STATUS, RECEIVING, RECEIVED_STATUS } stage;
  const uint8_t* from;
  uint32_t left, pid;
  /** The answer is shorter than what was asked for: should its last packet be full, an empty one ends it (USB 2.0 5.5.3). */
  bool shorter;
  /** Takes effect when the request is over; 0: none. */
  uint32_t address;
} control;
/** Baud, stop bits, parity, data bits (PSTN 1.2 table 17): kept and said again, since no wire has them. */
static uint8_t coding[CODING_BYTES] = {PICO_BAUD & 0xff, PICO_BAUD >> 8 & 0xff, PICO_BAUD >> 16 & 0xff, 0, 0, 0, 8};

struct request {
  uint32_t kind, value, index, length;
};

static uint8_t* buffer(void) { return (uint8_t*)(uintptr_t)(USB_DPRAM + USB_EP0_BUFFER_AT); }

void control_reset(void) {
  control.stage = IDLE;
  control.address = 0;
  USB_BUFFER(0, USB_IN) = 0;
  USB_BUFFER(0, USB_OUT) = 0;
}

static void send_packet(void) {
  const uint32_t n = control.left < USB_PACKET ? control.left : USB_PACKET;
  memcpy(buffer(), control.from, n);
  control.from += n;
  control.left -= n;
  if (n < USB_PACKET) control.shorter = false;
  usb_arm(&USB_BUFFER(0, USB_IN), USB_BUFFER_FULL | control.pid | n);
  control.pid ^= USB_BUFFER_DATA1;
}

static bool acknowledge(void) {
  control.stage = SENT_STATUS;
  usb_arm(&USB_BUFFER(0, USB_IN), USB_BUFFER_FULL | USB_BUFFER_DATA1);
  return true;
}

static bool reply(const struct request* r, const uint8_t* from, size_t n) {
  if (r->length == 0) return acknowledge();
  control.stage = SENDING;
  control.from = from;
  control.left = n < r->length ? (uint32_t)n : r->length;
  control.shorter = n < r->length;
  control.pid = USB_BUFFER_DATA1;
  send_packet();
  return true;
}

static bool reply_byte(const struct request* r, uint8_t value, size_t n) {
  static uint8_t bytes[2];
  bytes[0] = value;
  return reply(r, bytes, n);
}

static bool reply_descriptor(const struct request* r) {
  size_t n = 0;
  const uint8_t* from = usb_descriptor(r->value >> 8, r->value & 0xff, &n);
  return from != NULL && reply(r, from, n);
}

static bool receive_coding(const struct request* r) {
  if (r->length != CODING_BYTES) return false;
  control.stage = RECEIVING;
  usb_arm(&USB_BUFFER(0, USB_OUT), USB_BUFFER_DATA1 | USB_PACKET);
  return true;
}

static bool configure(uint32_t value) {
  if (value > 1) return false;
  usb_configure(value == 1);
  return acknowledge();
}

static bool unhalt(const struct request* r) {
  if (r->value != ENDPOINT_HALT) return false;
  const uint32_t way = (r->index & DIRECTION_IN) != 0 ? USB_IN : USB_OUT;
  return usb_unhalt(r->index & 0xfu, way) && acknowledge();
}

static bool set_lines(uint32_t value) {
  usb_line((value & DTR) != 0, (uint32_t)coding[0] | (uint32_t)coding[1] << 8 | (uint32_t)coding[2] << 16 | (uint32_t)coding[3] << 24);
  return acknowledge();
}

/** False: no such request. */
static bool answer(const struct request* r) {
  switch (r->kind) {
    case GET_DESCRIPTOR: return reply_descriptor(r);
    case SET_ADDRESS: control.address = r->value & 0x7fu; return acknowledge();
    case GET_CONFIGURATION: return reply_byte(r, usb_configured(), 1);
    case SET_CONFIGURATION: return configure(r->value);
    case GET_INTERFACE: return reply_byte(r, 0, 1);
    case SET_INTERFACE: return r->value == 0 && acknowledge();
    case GET_STATUS_OF_DEVICE:
    case GET_STATUS_OF_INTERFACE:
    case GET_STATUS_OF_ENDPOINT: return reply_byte(r, 0, 2);
    case CLEAR_ENDPOINT_FEATURE: return unhalt(r);
    case SET_LINE_CODING: return receive_coding(r);
    case GET_LINE_CODING: return reply(r, coding, sizeof coding);
    case SET_CONTROL_LINE_STATE: return set_lines(r->value);
    default: return false;
  }
}

/** Both ways, until the next request (data sheet 4.1.4, EP_STALL_ARM). */
static void stall(void) {
  USB_EP_STALL_ARM = 3;
  USB_BUFFER(0, USB_IN) = USB_BUFFER_STALL;
  USB_BUFFER(0, USB_OUT) = USB_BUFFER_STALL;
}

void control_setup(void) {
  const uint32_t head = USB_SETUP(0), rest = USB_SETUP(1);
  CLEAR(USB_SIE_STATUS) = USB_SIE_STATUS_SETUP;
  control_reset();
  const struct request r = {(head & 0xff) << 8 | (head >> 8 & 0xff), head >> 16, rest & 0xffff, rest >> 16};
  if (!answer(&r)) stall();
}

void control_sent(void) {
  if (control.stage == SENDING && (control.left > 0 || control.shorter)) {
    send_packet();
  } else if (control.stage == SENDING) {
    control.stage = RECEIVED_STATUS;
    usb_arm(&USB_BUFFER(0, USB_OUT), USB_BUFFER_DATA1);
  } else if (control.stage == SENT_STATUS) {
    control.stage = IDLE;
    if (control.address != 0) USB_ADDR_ENDP = control.address;
  }
}

void control_received(void) {
  if (control.stage == RECEIVING) {
    if ((USB_BUFFER(0, USB_OUT) & USB_BUFFER_LENGTH) == CODING_BYTES) memcpy(coding, buffer(), CODING_BYTES);
    (void)acknowledge();
  } else {
    control.stage = IDLE;
  }
}
