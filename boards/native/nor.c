/* See nor.h. */
#include "nor.h"

#include <string.h>

long nor_fails_after = -1;
long nor_wears_out_after = -1;

static void change(uint8_t* at, uint8_t to) {
  if (nor_fails_after == 0) {
    *at &= (uint8_t)(to | 0x0f);
    nor_power_failed();
  }
  if (nor_fails_after > 0) nor_fails_after--;
  if (nor_wears_out_after == 0) return;
  if (nor_wears_out_after > 0) nor_wears_out_after--;
  *at = to;
}

bool nor_erase(uint8_t* at, size_t n) {
  bool blank = true;
  for (size_t i = 0; i < n; i++) {
    change(at + i, 0xff);
    blank = blank && at[i] == 0xff;
  }
  return blank;
}

bool nor_program(uint8_t* at, const uint8_t* from, size_t n) {
  for (size_t i = 0; i < n; i++) change(at + i, at[i] & from[i]);
  return memcmp(at, from, n) == 0;
}
