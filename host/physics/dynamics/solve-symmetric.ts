/** Linear equations with a symmetric matrix that has no negative pivots, such as a mass matrix, up to some sixteen unknowns. */

/** A pivot below this share of its own diagonal entry is rounding. */
const NOTHING = 1e-14;

/**
 * Solves a·x = b by L·D·Lᵀ without pivoting.
 * @param a n×n row-major; its lower triangle is destroyed.
 * @param b becomes x; NaN where a row is all zeros.
 * @returns false when some pivot is 0 or not a number.
 */
export function solveSymmetric(a: Float64Array, b: Float64Array, n: number): boolean {
  const all = factorSymmetric(a, n);
  solveFactored(a, b, n);
  return all;
}

/**
 * Puts L (below) and D (on the diagonal) in the place of a's lower triangle.
 * @returns false when some pivot is 0 or not a number.
 */
export function factorSymmetric(a: Float64Array, n: number): boolean {
  let all = true;
  for (let j = 0; j < n; j++) {
    const diagonal = a[n * j + j]!;
    let d = diagonal;
    for (let k = 0; k < j; k++) d -= a[n * j + k]! ** 2 * a[n * k + k]!;
    const regular = d > NOTHING * diagonal;
    all &&= regular;
    a[n * j + j] = regular ? d : 0;
    for (let i = j + 1; i < n; i++) {
      let sum = a[n * i + j]!;
      for (let k = 0; k < j; k++) sum -= a[n * i + k]! * a[n * j + k]! * a[n * k + k]!;
      a[n * i + j] = regular ? sum / d : 0;
    }
  }
  return all;
}

/** Solves with what factorSymmetric left in a; b becomes x, NaN where a row was all zeros. */
export function solveFactored(a: Float64Array, b: Float64Array, n: number): void {
  for (let i = 0; i < n; i++) for (let k = 0; k < i; k++) b[i]! -= a[n * i + k]! * b[k]!;
  for (let i = 0; i < n; i++) b[i] = a[n * i + i]! > 0 ? b[i]! / a[n * i + i]! : NaN;
  for (let i = n - 1; i >= 0; i--)
    for (let k = i + 1; k < n; k++) {
      const l = a[n * k + i]!;
      if (l !== 0) b[i]! -= l * b[k]!;
    }
}
