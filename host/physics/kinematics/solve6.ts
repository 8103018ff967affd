/**
 * Six linear equations in six unknowns, f64, in place. Written out because forward kinematics spends most of its time here:
 * a general library's solve, with its matrix objects and views, was measured at ten times the cost (3.8 us against 0.35).
 * The tests hold it against ml-matrix.
 */

/**
 * Solves a·x = b by elimination with partial pivoting.
 * @param a 36 numbers, row-major; destroyed.
 * @param b 6 numbers; becomes x.
 * @returns the determinant of a; 0 when a is singular or not finite, and then b is no answer.
 */
export function solve6(a: Float64Array, b: Float64Array): number {
  let determinant = 1;
  for (let c = 0; c < 6; c++) {
    const p = pivotRow(a, c);
    if (p < 0) return 0;
    if (p !== c) {
      swapRows(a, b, p, c);
      determinant = -determinant;
    }
    const pivot = a[7 * c]!;
    determinant *= pivot;
    for (let r = c + 1; r < 6; r++) {
      const f = a[6 * r + c]! / pivot;
      for (let k = c + 1; k < 6; k++) a[6 * r + k]! -= f * a[6 * c + k]!;
      b[r]! -= f * b[c]!;
    }
  }
  for (let r = 5; r >= 0; r--) {
    let sum = b[r]!;
    for (let k = r + 1; k < 6; k++) sum -= a[6 * r + k]! * b[k]!;
    b[r] = sum / a[7 * r]!;
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
  return row;
}

function swapRows(a: Float64Array, b: Float64Array, p: number, c: number): void {
  for (let k = c; k < 6; k++) {
    const held = a[6 * p + k]!;
    a[6 * p + k] = a[6 * c + k]!;
    a[6 * c + k] = held;
  }
  const held = b[p]!;
  b[p] = b[c]!;
  b[c] = held;
}
