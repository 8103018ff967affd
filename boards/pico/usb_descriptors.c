/* What the board says it is: a serial port by USB 2.0 chapter 9.6, CDC 1.2 (5.2.3) and PSTN 1.2 (5.3), with its flash's number. */
#include <string.h>

#include "board.h"
#include "pico.h"
#include "usb.h"

enum { DEVICE = 1, CONFIGURATION = 2, STRING = 3, INTERFACE = 4, ENDPOINT = 5, CS_INTERFACE = 0x24 };
enum { LANGUAGES, MAKER, PRODUCT, SERIAL };
enum { CLASS_CDC = 2, CLASS_CDC_DATA = 0x0a, ABSTRACT_CONTROL = 2 };
enum { ATTRIBUTE_BULK = 2, ATTRIBUTE_INTERRUPT = 3, ENDPOINT_IN = 0x80 };
#define LOW(value) ((value) & 0xffu)
#define HIGH(value) ((value) >> 8)
#define CONFIGURATION_BYTES 67u
#define ENGLISH_US 0x0409u
/** In units of 2 mA: what a Pico takes with its lamp on, and a margin. The servos have a supply of their own. */
#define POWER 50u
#define SERIAL_DIGITS (2u * FLASH_ID_BYTES)

static const uint8_t device[18] = {
    sizeof device, DEVICE, 0x00, 0x02, CLASS_CDC, 0, 0, USB_PACKET,
    LOW(PICO_USB_VENDOR), HIGH(PICO_USB_VENDOR), LOW(PICO_USB_PRODUCT), HIGH(PICO_USB_PRODUCT), 0x00, 0x01,
    MAKER, PRODUCT, SERIAL, 1,
};

static const uint8_t configuration[CONFIGURATION_BYTES] = {
    /* Two interfaces, configuration 1, powered by the bus. */
    9, CONFIGURATION, CONFIGURATION_BYTES, 0, 2, 1, 0, 0x80, POWER,
    /* Interface 0: abstract control model. */
    9, INTERFACE, 0, 0, 1, CLASS_CDC, ABSTRACT_CONTROL, 0, 0,
    /* Header of CDC 1.10; no calls; line coding and line state; interface 0 rules 1. */
    5, CS_INTERFACE, 0x00, 0x10, 0x01,
    5, CS_INTERFACE, 0x01, 0x00, 1,
    4, CS_INTERFACE, 0x02, 0x02,
    5, CS_INTERFACE, 0x06, 0, 1,
    7, ENDPOINT, ENDPOINT_IN | USB_EP_NOTES, ATTRIBUTE_INTERRUPT, 8, 0, 255,
    /* Interface 1: the bytes. */
    9, INTERFACE, 1, 0, 2, CLASS_CDC_DATA, 0, 0, 0,
    7, ENDPOINT, USB_EP_LINK, ATTRIBUTE_BULK, USB_PACKET, 0, 0,
    7, ENDPOINT, ENDPOINT_IN | USB_EP_LINK, ATTRIBUTE_BULK, USB_PACKET, 0, 0,
};

static const uint8_t languages[4] = {sizeof languages, STRING, LOW(ENGLISH_US), HIGH(ENGLISH_US)};

static char serial[SERIAL_DIGITS + 1];

void usb_descriptors_start(void) {
  uint8_t id[FLASH_ID_BYTES];
  flash_id(id);
  for (uint32_t i = 0; i < SERIAL_DIGITS; i++) serial[i] = "0123456789ABCDEF"[id[i / 2] >> (i % 2 == 0 ? 4 : 0) & 15];
}

/** A string descriptor, UTF-16 (USB 2.0 9.6.7). */
static const uint8_t* said(const char* text, size_t* n) {
  static uint8_t bytes[USB_PACKET];
  size_t at = 2;
  for (; *text != 0 && at + 2 <= sizeof bytes; text++) {
    bytes[at++] = (uint8_t)*text;
    bytes[at++] = 0;
  }
  bytes[0] = (uint8_t)at;
  bytes[1] = STRING;
  *n = at;
  return bytes;
}

static const uint8_t* string(uint32_t index, size_t* n) {
  *n = sizeof languages;
  switch (index) {
    case LANGUAGES: return languages;
    case MAKER: return said(PICO_USB_MAKER_NAME, n);
    case PRODUCT: return said(PICO_USB_PRODUCT_NAME, n);
    case SERIAL: return said(serial, n);
    default: return NULL;
  }
}

const uint8_t* usb_descriptor(uint32_t type, uint32_t index, size_t* n) {
  if (type == STRING) return string(index, n);
  if (index != 0) return NULL;
  *n = type == DEVICE ? sizeof device : sizeof configuration;
  if (type == DEVICE) return device;
  return type == CONFIGURATION ? configuration : NULL;
}
