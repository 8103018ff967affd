/** The inverse of a 6×6 matrix, f64, without allocation: a general library's takes ten times as long (see solve6.ts). */

/** Which row became the pivot of each column. */
const pivots = new Int32Array(6);

/**
 * Gauss and Jordan's elimination with partial pivoting; the inverse grows where the matrix was.
 * @param a 36 numbers, row-major.
 * @param out becomes the inverse; not a.
 * @returns the determinant of a; 0 when a is singular or not finite, and then out is no answer.
 */
export function invert6(a: Float64Array, out: Float64Array): number {
  let determinant = 1;
  out.set(a);
  for (let c = 0; c < 6; c++) {
    const p = pivotRow(out, c);
    if (p < 0) return 0;
    pivots[c] = p;
    if (p !== c) {
      swap(out, 6 * p, 6 * c, 1);
      determinant = -determinant;
    }
    determinant *= out[7 * c]!;
    eliminate(out, c);
  }
  for (let c = 5; c >= 0; c--) if (pivots[c] !== c) swap(out, pivots[c]!, c, 6);
  return determinant;
}

/** Turns column c of what is left into that of the inverse. */
function eliminate(a: Float64Array, c: number): void {
  const o = 6 * c;
  const by = 1 / a[o + c]!;
  a[o + c] = 1;
  const r0 = (a[o]! *= by);
  const r1 = (a[o + 1]! *= by);
  const r2 = (a[o + 2]! *= by);
  const r3 = (a[o + 3]! *= by);
  const r4 = (a[o + 4]! *= by);
  const r5 = (a[o + 5]! *= by);
  for (let r = 0; r < 36; r += 6) {
    if (r === o) continue;
    const f = a[r + c]!;
    a[r + c] = 0;
    a[r]! -= f * r0;
    a[r + 1]! -= f * r1;
    a[r + 2]! -= f * r2;
    a[r + 3]! -= f * r3;
    a[r + 4]! -= f * r4;
    a[r + 5]! -= f * r5;
  }
}

/** Row with the largest entry of column c at or below the diagonal; -1 when that is 0 or NaN. */
function pivotRow(a: Float64Array, c: number): number {
  let row = -1;
  let best = 0;
  for (let r = c; r < 6; r++) {
    const size = Math.abs(a[6 * r + c]!);
    if (size > best) {
      best = size;
      row = r;
    }
  }
  return best < Infinity ? row : -1;
}

/** Swaps six numbers from i on with six from j on, a stride apart. */
function swap(a: Float64Array, i: number, j: number, stride: number): void {
  for (let k = 0; k < 6 * stride; k += stride) {
    const held = a[i + k]!;
    a[i + k] = a[j + k]!;
    a[j + k] = held;
  }
}
