/**
 * The kernels of kernels.ts on four numbers at a time (WebAssembly SIMD), for the batch solver: the same operations in the
 * same order, so that each lane is the scalar's result to the bit. The controller does not use them.
 */
import {
  ATAN_11,
  ATAN_13,
  ATAN_15,
  ATAN_3,
  ATAN_5,
  ATAN_7,
  ATAN_9,
  COS_1,
  COS_2,
  COS_3,
  HALF_PI,
  HALF_PI_HIGH,
  HALF_PI_LOW,
  PI,
  SIN_1,
  SIN_2,
  SIN_3,
  TWO_OVER_PI,
} from './kernels';

// @ts-ignore: decorator
@inline export function all(x: f32): v128 {
  return f32x4.splat(x);
}
/** The f32 at an address, four times. */
// @ts-ignore: decorator
@inline export function four(at: usize): v128 {
  return v128.load_splat<f32>(at);
}
// @ts-ignore: decorator
@inline export function add(a: v128, b: v128): v128 {
  return f32x4.add(a, b);
}
// @ts-ignore: decorator
@inline export function sub(a: v128, b: v128): v128 {
  return f32x4.sub(a, b);
}
// @ts-ignore: decorator
@inline export function mul(a: v128, b: v128): v128 {
  return f32x4.mul(a, b);
}
/** a·x + b·y + c·z, summed from the left. */
// @ts-ignore: decorator
@inline export function dot(a: v128, x: v128, b: v128, y: v128, c: v128, z: v128): v128 {
  return add(add(mul(a, x), mul(b, y)), mul(c, z));
}

/** Stores four sines, then four cosines, at `out`; see sincos. */
// @ts-ignore: decorator
@inline export function sincos4(x: v128, out: usize): void {
  const round = all(12582912.0);
  const n = sub(add(mul(x, all(TWO_OVER_PI)), round), round);
  const r = sub(sub(x, mul(n, all(HALF_PI_HIGH))), mul(n, all(HALF_PI_LOW)));
  const z = mul(r, r);
  const s = add(r, mul(mul(r, z), add(all(SIN_1), mul(z, add(all(SIN_2), mul(z, all(SIN_3)))))));
  const c = add(
    sub(all(1.0), mul(all(0.5), z)),
    mul(mul(z, z), add(all(COS_1), mul(z, add(all(COS_2), mul(z, all(COS_3)))))),
  );
  const quarter = i32x4.trunc_sat_f32x4_s(n);
  const one = i32x4.splat(1);
  const two = i32x4.splat(2);
  const odd = i32x4.eq(v128.and(quarter, one), one);
  // Bit 1, moved to the sign.
  const sinSign = i32x4.shl(v128.and(quarter, two), 30);
  const cosSign = i32x4.shl(v128.and(i32x4.add(quarter, one), two), 30);
  v128.store(out, v128.xor(v128.bitselect(c, s, odd), sinSign));
  v128.store(out, v128.xor(v128.bitselect(s, c, odd), cosSign), 16);
}

// @ts-ignore: decorator
@inline function atanUnit4(x: v128): v128 {
  const z = mul(x, x);
  let p = add(all(ATAN_13), mul(z, all(ATAN_15)));
  p = add(all(ATAN_11), mul(z, p));
  p = add(all(ATAN_9), mul(z, p));
  p = add(all(ATAN_7), mul(z, p));
  p = add(all(ATAN_5), mul(z, p));
  p = add(all(ATAN_3), mul(z, p));
  return add(x, mul(x, mul(z, p)));
}

/** Four angles of (den, num); see angleOf. */
// @ts-ignore: decorator
@inline export function angleOf4(num: v128, den: v128): v128 {
  const zero = all(0.0);
  const n = f32x4.abs(num);
  const d = f32x4.abs(den);
  const steep = f32x4.gt(n, d);
  const less = v128.bitselect(d, n, steep);
  const more = v128.bitselect(n, d, steep);
  // 0/0 is angle 0.
  const small = v128.and(atanUnit4(f32x4.div(less, more)), f32x4.gt(more, zero));
  let a = v128.bitselect(sub(all(HALF_PI), small), small, steep);
  a = v128.bitselect(sub(all(PI), a), a, f32x4.lt(den, zero));
  return v128.xor(a, v128.and(f32x4.lt(num, zero), f32x4.splat(-0.0)));
}
