/*
 * Arithmetic of f32 by a core that has none: IEEE 754-2019 binary32, to nearest, ties to even, subnormal numbers and all, bit
 * for bit what V8 and a floating-point unit give (a NaN is some quiet NaN). In place of the compiler's own, which take 133 cycles
 * for a product, 445 for a quotient and 361 for a root. Names: Run-time ABI for the Arm Architecture (IHI 0043), section 5.1.2.
 */
#include <stdint.h>

#include "registers.h"

#define SIGN 0x80000000u
#define INFINITE 0x7f800000u
#define QUIET_NAN 0x7fc00000u
#define HIDDEN 0x00800000u
#define FRACTION 0x007fffffu
#define EXPONENT_MOST 255u

/** Product and sum of any two numbers; arithmetic.S takes the common ones. */
uint32_t float_multiply(uint32_t a, uint32_t b);
uint32_t float_add(uint32_t a, uint32_t b);
int __aeabi_fcmplt(uint32_t a, uint32_t b);
int __aeabi_fcmple(uint32_t a, uint32_t b);
int __aeabi_fcmpgt(uint32_t a, uint32_t b);
int __aeabi_fcmpge(uint32_t a, uint32_t b);
int __aeabi_fcmpeq(uint32_t a, uint32_t b);
uint32_t __aeabi_fdiv(uint32_t a, uint32_t b);
/** sqrtf, by the bits. */
uint32_t float_sqrt(uint32_t a) __asm("sqrtf");

static inline uint32_t exponent(uint32_t a) { return a << 1 >> 24; }

/** Rounds a significand with 8 bits below its last place and its leading bit at 31, to be read as f x 2^(e - 127), 1 <= f < 2. */
static inline uint32_t rounded(uint32_t e, uint32_t bits) {
  const uint32_t odd = bits >> 8 & 1u;
  /* Half of it, so that the carry of rounding up fits; the last bit stays for what is below it. */
  bits = (bits >> 1 | (bits & 1u)) + 0x3fu + odd;
  return ((e - 1u) << 23) + (bits >> 7);
}

/** Shifts right, the last bit telling whether anything that is not zero went over the edge. */
static inline uint32_t sticky(uint32_t bits, uint32_t by) {
  if (by == 0) return bits;
  if (by > 31) return bits != 0;
  return bits >> by | (bits << (32u - by) != 0);
}

/** As rounded(), for any exponent: too large becomes infinite, too small subnormal or zero. */
static uint32_t packed(uint32_t sign, int32_t e, uint32_t bits) {
  if (e >= (int32_t)EXPONENT_MOST) return sign | INFINITE;
  if (e > 0) return sign | rounded((uint32_t)e, bits);
  /* A subnormal number has the exponent of 1 and no leading bit; one that rounds up to it gets it by the carry. */
  bits = sticky(bits, (uint32_t)(1 - e));
  const uint32_t odd = bits >> 8 & 1u;
  return sign | ((bits >> 1 | (bits & 1u)) + 0x3fu + odd) >> 7;
}

/** Leading bit at 23; lowers the exponent by as much. For subnormal numbers, not for 0. */
static inline uint32_t normal(uint32_t fraction, int32_t* e) {
  const int by = __builtin_clz(fraction) - 8;
  *e = 1 - by;
  return fraction << by;
}

/** Product of significands of 24 bits, its leading bit at 31 or 30, and the bits below the last one seen. */
static inline uint32_t product(uint32_t a, uint32_t b) {
  const uint32_t ah = a >> 8, al = a & 0xffu, bh = b >> 8, bl = b & 0xffu;
  const uint32_t low = al * bl;
  const uint32_t middle = ah * bl + al * bh + (low >> 8);
  return (ah * bh + (middle >> 8)) | ((middle | low) << 24 != 0);
}

uint32_t float_multiply(uint32_t a, uint32_t b) {
  const uint32_t sign = (a ^ b) & SIGN;
  a &= ~SIGN;
  b &= ~SIGN;
  if (a > INFINITE || b > INFINITE) return QUIET_NAN;
  if (a == INFINITE || b == INFINITE) return a == 0 || b == 0 ? QUIET_NAN : sign | INFINITE;
  if (a == 0 || b == 0) return sign;
  int32_t ea = (int32_t)exponent(a), eb = (int32_t)exponent(b);
  const uint32_t fa = ea == 0 ? normal(a, &ea) : (a & FRACTION) | HIDDEN;
  const uint32_t fb = eb == 0 ? normal(b, &eb) : (b & FRACTION) | HIDDEN;
  uint32_t bits = product(fa, fb);
  int32_t e = ea + eb - 126;
  if ((bits & SIGN) == 0) {
    bits <<= 1;
    e--;
  }
  return packed(sign, e, bits);
}

/** One of the two is infinite or no number. */
static uint32_t add_rare(uint32_t a, uint32_t b) {
  const uint32_t ma = a & ~SIGN, mb = b & ~SIGN;
  if (ma > INFINITE || mb > INFINITE) return QUIET_NAN;
  if (ma == INFINITE && mb == INFINITE && a != b) return QUIET_NAN;
  return ma == INFINITE ? a : b;
}

uint32_t float_add(uint32_t a, uint32_t b) {
  /* The greater magnitude first. */
  if (a << 1 < b << 1) {
    const uint32_t t = a;
    a = b;
    b = t;
  }
  uint32_t ea = exponent(a), eb = exponent(b);
  if (ea == EXPONENT_MOST) return add_rare(a, b);
  /* Significands with 7 bits below the last place: room for a carry above. */
  uint32_t fa = (a & FRACTION) << 7, fb = (b & FRACTION) << 7;
  if (ea != 0)
    fa |= HIDDEN << 7;
  else
    ea = 1;
  if (eb != 0)
    fb |= HIDDEN << 7;
  else
    eb = 1;
  const uint32_t by = ea - eb;
  const uint32_t shifted = by > 31 ? 0 : fb >> by;
  fb = shifted | (by > 31 ? fb != 0 : shifted << by != fb);
  const uint32_t sign = a & SIGN;
  if (((a ^ b) & SIGN) == 0) {
    fa += fb;
    if ((fa & SIGN) != 0)
      ea++;
    else if ((fa & HIDDEN << 7) != 0)
      fa <<= 1;
    else
      return sign | fa >> 7; /* Both subnormal: exact. */
    return ea == EXPONENT_MOST ? sign | INFINITE : sign + rounded(ea, fa);
  }
  fa -= fb;
  if (fa == 0) return 0;
  fa <<= 1;
  if ((fa & SIGN) == 0) {
    uint32_t up = (uint32_t)__builtin_clz(fa);
    /* As far as the exponent goes. */
    if (up >= ea) return sign | fa << (ea - 1u) >> 8;
    fa <<= up;
    ea -= up;
  }
  return sign + rounded(ea, fa);
}

/** Two's complement in the order of the numbers, for all that are not NaN. Zeros are equal. */
static inline int32_t order(uint32_t a) { return (a & SIGN) != 0 ? (int32_t)(0u - (a & ~SIGN)) : (int32_t)a; }

static inline int comparable(uint32_t a, uint32_t b) { return a << 1 <= INFINITE << 1 && b << 1 <= INFINITE << 1; }

int __aeabi_fcmplt(uint32_t a, uint32_t b) { return order(a) < order(b) && comparable(a, b); }
int __aeabi_fcmple(uint32_t a, uint32_t b) { return order(a) <= order(b) && comparable(a, b); }
int __aeabi_fcmpgt(uint32_t a, uint32_t b) { return order(a) > order(b) && comparable(a, b); }
int __aeabi_fcmpge(uint32_t a, uint32_t b) { return order(a) >= order(b) && comparable(a, b); }
int __aeabi_fcmpeq(uint32_t a, uint32_t b) { return order(a) == order(b) && comparable(a, b); }

/** n / d by the chip's divider. No interrupt divides, so nothing need be saved. */
static inline uint32_t divided(uint32_t n, uint32_t d, uint32_t* rest) {
  SIO_DIV_UDIVIDEND = n;
  SIO_DIV_UDIVISOR = d;
  /* Eight cycles: four branches to the next instruction. */
  __asm volatile("b 1f\n1: b 2f\n2: b 3f\n3: b 4f\n4:");
  *rest = SIO_DIV_REMAINDER;
  return SIO_DIV_QUOTIENT;
}

uint32_t __aeabi_fdiv(uint32_t a, uint32_t b) {
  const uint32_t sign = (a ^ b) & SIGN;
  a &= ~SIGN;
  b &= ~SIGN;
  if (a > INFINITE || b > INFINITE) return QUIET_NAN;
  if (a == INFINITE) return b == INFINITE ? QUIET_NAN : sign | INFINITE;
  if (b == INFINITE) return sign;
  if (b == 0) return a == 0 ? QUIET_NAN : sign | INFINITE;
  if (a == 0) return sign;
  int32_t ea = (int32_t)exponent(a), eb = (int32_t)exponent(b);
  uint32_t fa = ea == 0 ? normal(a, &ea) : (a & FRACTION) | HIDDEN;
  const uint32_t fb = eb == 0 ? normal(b, &eb) : (b & FRACTION) | HIDDEN;
  int32_t e = ea - eb + 127;
  if (fa < fb) {
    fa <<= 1;
    e--;
  }
  /* 25 bits of the quotient: 1, then eight at a time. */
  uint32_t rest = fa - fb;
  uint32_t bits = 1;
  for (int i = 0; i < 3; i++) bits = bits << 8 | divided(rest << 8, fb, &rest);
  return packed(sign, e, bits << 7 | (rest != 0));
}

/** Root of n >= 2^30, rounded down. */
static inline uint32_t root(uint32_t n) {
  uint32_t rest;
  /* 0.35 t + 0.68 is within 4 % of the root of t, 1 to 4; Newton's step squares that, and halves it. */
  uint32_t r = ((n >> 16) * 45875u >> 16) + 22282u;
  r = (r + divided(n, r, &rest)) / 2u;
  r = (r + divided(n, r, &rest)) / 2u;
  if (r > 0xffffu) r = 0xffffu;
  while (r * r > n) r--;
  while (r < 0xffffu && (r + 1) * (r + 1) <= n) r++;
  return r;
}

uint32_t float_sqrt(uint32_t a) {
  if (a << 1 == 0 || a == INFINITE) return a;
  if (a > INFINITE) return QUIET_NAN;
  int32_t e = (int32_t)exponent(a);
  uint32_t f = e == 0 ? normal(a, &e) : (a & FRACTION) | HIDDEN;
  e -= 127;
  if ((e & 1) != 0) f <<= 1;
  /* The root of f << 25 has 25 bits: 16 from the upper 32 bits, the rest by one division. */
  const uint32_t upper = f << 7;
  const uint32_t high = root(upper);
  uint32_t rest;
  uint32_t low = divided((upper - high * high) << 8, high, &rest);
  if (rest << 10 < low * low) {
    low--;
    rest += high;
  }
  return rounded((uint32_t)((e >> 1) + 127), (high << 9 | low) << 7 | (rest << 10 != low * low));
}
