/**
 * Vectors and 3×3 matrices laid one behind the other in flat arrays, at offsets, for the sums that dynamics does hundreds of
 * thousands of times: nothing is allocated. Row-major, f64. `out` may be an operand only where that is said.
 */

export type Flat = Float64Array;

/** out = a × b; out may be neither. */
export function crossInto(out: Flat, o: number, a: Flat, i: number, b: Flat, j: number): void {
  out[o] = a[i + 1]! * b[j + 2]! - a[i + 2]! * b[j + 1]!;
  out[o + 1] = a[i + 2]! * b[j]! - a[i]! * b[j + 2]!;
  out[o + 2] = a[i]! * b[j + 1]! - a[i + 1]! * b[j]!;
}

/** out += k·(a × b); out may be neither. */
export function addCross(out: Flat, o: number, a: Flat, i: number, b: Flat, j: number, k = 1): void {
  out[o]! += k * (a[i + 1]! * b[j + 2]! - a[i + 2]! * b[j + 1]!);
  out[o + 1]! += k * (a[i + 2]! * b[j]! - a[i]! * b[j + 2]!);
  out[o + 2]! += k * (a[i]! * b[j + 1]! - a[i + 1]! * b[j]!);
}

/** out += a × (a × b) = a(a·b) - b(a·a); out may be either. */
export function addDoubleCross(out: Flat, o: number, a: Flat, i: number, b: Flat, j: number): void {
  const ab = dotAt(a, i, b, j);
  const aa = dotAt(a, i, a, i);
  const x = b[j]!;
  const y = b[j + 1]!;
  const z = b[j + 2]!;
  out[o]! += a[i]! * ab - x * aa;
  out[o + 1]! += a[i + 1]! * ab - y * aa;
  out[o + 2]! += a[i + 2]! * ab - z * aa;
}

/** out += k·a; out may be a. */
export function addScaled(out: Flat, o: number, a: Flat, i: number, k = 1): void {
  out[o]! += k * a[i]!;
  out[o + 1]! += k * a[i + 1]!;
  out[o + 2]! += k * a[i + 2]!;
}

export function copyAt(out: Flat, o: number, a: Flat, i: number): void {
  out[o] = a[i]!;
  out[o + 1] = a[i + 1]!;
  out[o + 2] = a[i + 2]!;
}

export function dotAt(a: Flat, i: number, b: Flat, j: number): number {
  return a[i]! * b[j]! + a[i + 1]! * b[j + 1]! + a[i + 2]! * b[j + 2]!;
}

/** out = m·v, m at 9 numbers; out may be v. */
export function turnInto(out: Flat, o: number, m: Flat, i: number, v: Flat, j: number): void {
  const x = v[j]!;
  const y = v[j + 1]!;
  const z = v[j + 2]!;
  out[o] = m[i]! * x + m[i + 1]! * y + m[i + 2]! * z;
  out[o + 1] = m[i + 3]! * x + m[i + 4]! * y + m[i + 5]! * z;
  out[o + 2] = m[i + 6]! * x + m[i + 7]! * y + m[i + 8]! * z;
}

/** out = mᵀ·v: the turn backward; out may be v. */
export function turnBackInto(out: Flat, o: number, m: Flat, i: number, v: Flat, j: number): void {
  const x = v[j]!;
  const y = v[j + 1]!;
  const z = v[j + 2]!;
  out[o] = m[i]! * x + m[i + 3]! * y + m[i + 6]! * z;
  out[o + 1] = m[i + 1]! * x + m[i + 4]! * y + m[i + 7]! * z;
  out[o + 2] = m[i + 2]! * x + m[i + 5]! * y + m[i + 8]! * z;
}

/** out = a·b, 3×3 each; out may be neither. */
export function timesInto(out: Flat, o: number, a: Flat, i: number, b: ArrayLike<number>, j: number): void {
  for (let r = 0; r < 9; r += 3)
    for (let c = 0; c < 3; c++)
      out[o + r + c] = a[i + r]! * b[j + c]! + a[i + r + 1]! * b[j + c + 3]! + a[i + r + 2]! * b[j + c + 6]!;
}
