/** The inverse of a 6×6 matrix, f64, without allocation: a general library's takes ten times as long (see solve6.ts). */

/**
 * Gauss and Jordan's elimination with partial pivoting, in place.
 * @param a 36 numbers, row-major; destroyed.
 * @param out becomes the inverse.
 * @returns the determinant of a; 0 when a is singular or not finite, and then out is no answer.
 */
export function invert6(a: Float64Array, out: Float64Array): number {
  let determinant = 1;
  out.fill(0);
  for (let k = 0; k < 36; k += 7) out[k] = 1;
  for (let c = 0; c < 6; c++) {
    const p = pivotRow(a, c);
    if (p < 0) return 0;
    if (p !== c) {
      swapRows(a, p, c);
      swapRows(out, p, c);
      determinant = -determinant;
    }
    const by = 1 / a[7 * c]!;
    determinant /= by;
    // Columns of a up to this one are done with: nobody reads them again.
    for (let k = c + 1; k < 6; k++) a[6 * c + k]! *= by;
    for (let k = 0; k < 6; k++) out[6 * c + k]! *= by;
    for (let r = 0; r < 6; r++) {
      const f = a[6 * r + c]!;
      if (r === c || f === 0) continue;
      for (let k = c + 1; k < 6; k++) a[6 * r + k]! -= f * a[6 * c + k]!;
      for (let k = 0; k < 6; k++) out[6 * r + k]! -= f * out[6 * c + k]!;
    }
  }
  return determinant;
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

function swapRows(a: Float64Array, p: number, c: number): void {
  for (let k = 0; k < 6; k++) {
    const held = a[6 * p + k]!;
    a[6 * p + k] = a[6 * c + k]!;
    a[6 * c + k] = held;
  }
}
