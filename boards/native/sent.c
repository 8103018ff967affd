/* See sent.h. */
#include "sent.h"

#include <string.h>

static uint8_t sent[2048];
static size_t count;

/** Takes the stuffing out of what was sent; returns how many bytes are left, 0 when it is wrong. */
static size_t unstuff(uint8_t* raw) {
  size_t n = 0;
  for (size_t i = 0; i < count;) {
    const size_t code = sent[i];
    if (i + code > count) return 0;
    memcpy(raw + n, sent + i + 1, code - 1);
    n += code - 1;
    i += code;
    if (code < 255 && i < count) raw[n++] = 0;
  }
  return n;
}

bool sent_byte(uint8_t byte, void (*frame)(const uint8_t* raw, size_t n)) {
  if (byte != 0) {
    if (count == sizeof sent) return false;
    sent[count++] = byte;
  } else if (count > 0) {
    uint8_t raw[sizeof sent];
    frame(raw, unstuff(raw));
    count = 0;
  }
  return true;
}

void sent_forget(void) { count = 0; }
