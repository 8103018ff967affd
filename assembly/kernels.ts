/**
 * The controller's own single-precision functions: the standard library's compute in double precision inside, and the last
 * bit must be the same on every chip. Only + - * / and square root are used, each rounded once (IEEE 754).
 * Coefficients: least maximum error by iteratively reweighted least squares, then rounded to f32.
 */

/**
 * Adding 1.5 · 2^23 rounds to the nearest integer, ties to even, and leaves it in the low bits of the sum; taking it away
 * again leaves it as a float. |x| < 2^22.
 */
const ROUNDING: f32 = 12582912.0;

// @ts-ignore: decorator
@inline export function nearest(x: f32): f32 {
  return x + ROUNDING - ROUNDING;
}

/** The same as an integer, modulo 2^22: cheaper than a conversion, and without its trap. */
// @ts-ignore: decorator
@inline export function nearestBits(x: f32): u32 {
  return reinterpret<u32>(x + ROUNDING);
}

/** x within [lo, hi]; NaN gives lo. */
// @ts-ignore: decorator
@inline export function clamp(x: f32, lo: f32, hi: f32): f32 {
  return x > lo ? (x < hi ? x : hi) : lo;
}

// @ts-ignore: decorator
@inline export function magnitude(x: f32): f32 {
  return abs<f32>(x);
}

/** Bits of a float as an integer that is greater where the float is: cheaper to compare where a chip has no floats. -0 is below 0. */
// @ts-ignore: decorator
@inline export function ordered(x: f32): i32 {
  const bits = reinterpret<i32>(x);
  return bits ^ ((bits >> 31) & 0x7fffffff);
}

/** Whether |x| is at most a bound that is not negative, compared as integers; false for NaN. */
// @ts-ignore: decorator
@inline export function boundedBy(x: f32, most: f32): bool {
  return (reinterpret<u32>(x) & 0x7fffffff) <= reinterpret<u32>(most);
}

/** Neither NaN nor infinite: the difference of an infinity, or NaN, with itself is NaN. */
// @ts-ignore: decorator
@inline export function finite(x: f32): bool {
  return x - x == 0;
}

export const SIN_1: f32 = -0.16666655;
export const SIN_2: f32 = 0.00833216;
export const SIN_3: f32 = -0.00019515217;
export const COS_1: f32 = 0.041666646;
export const COS_2: f32 = -0.0013887367;
export const COS_3: f32 = 2.443838e-5;

export const TWO_OVER_PI: f32 = 0.63661975;
/** π/2 in two parts: the high one has 13 zero low bits, so that n times it is exact. */
export const HALF_PI_HIGH: f32 = 1.5703125;
export const HALF_PI_LOW: f32 = 0.00048382679;

/**
 * Stores sin x, then cos x, at `out`. Domain |x| <= 32 rad. Largest error 1.2e-7 for |x| <= 2π (tests/assembly/kernels).
 * Reduction by π/2 in two parts (Cody & Waite, Software Manual for the Elementary Functions, 1980).
 */
// @ts-ignore: decorator
@inline export function sincos(x: f32, out: usize): void {
  const rounded = x * TWO_OVER_PI + ROUNDING;
  const n = rounded - ROUNDING;
  const r = x - n * HALF_PI_HIGH - n * HALF_PI_LOW;
  const z = r * r;
  const s = r + r * z * (SIN_1 + z * (SIN_2 + z * SIN_3));
  const c = <f32>1.0 - <f32>0.5 * z + z * z * (COS_1 + z * (COS_2 + z * COS_3));
  const quarter = reinterpret<u32>(rounded) & 3;
  const sin = quarter & 1 ? c : s;
  const cos = quarter & 1 ? s : c;
  store<f32>(out, quarter & 2 ? -sin : sin);
  store<f32>(out + 4, (quarter + 1) & 2 ? -cos : cos);
}

export const ATAN_3: f32 = -0.3333166;
export const ATAN_5: f32 = 0.19962704;
export const ATAN_7: f32 = -0.13976581;
export const ATAN_9: f32 = 0.09794233;
export const ATAN_11: f32 = -0.05777356;
export const ATAN_13: f32 = 0.023040114;
export const ATAN_15: f32 = -0.0043553994;

/** Arctangent for |x| <= 1: odd polynomial of degree 15, largest error 1.2e-7 rad. */
export function atanUnit(x: f32): f32 {
  const z = x * x;
  return (
    x + x * (z * (ATAN_3 + z * (ATAN_5 + z * (ATAN_7 + z * (ATAN_9 + z * (ATAN_11 + z * (ATAN_13 + z * ATAN_15)))))))
  );
}

export const HALF_PI: f32 = 1.5707964;
export const PI: f32 = 3.1415927;

/** Angle of (den, num) for num of any sign and den >= 0, or num >= 0 and any den: atan2 without its corner cases. */
export function angleOf(num: f32, den: f32): f32 {
  const n = magnitude(num);
  const d = magnitude(den);
  let a: f32 = n > d ? HALF_PI - atanUnit(d / n) : d > 0 ? atanUnit(n / d) : 0;
  if (den < 0) a = PI - a;
  return num < 0 ? -a : a;
}
