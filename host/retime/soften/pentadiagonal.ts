/**
 * Symmetric positive definite matrices of five diagonals: factored in place as L·D·Lᵀ, then solved for any right-hand side in a
 * pass down and a pass up. Source: G. Golub, C. Van Loan, "Matrix Computations", 4th ed., section 4.3 (banded systems; from
 * memory).
 */
export class Pentadiagonal {
  /** The diagonal; and by row what stands one and two before it: to be written, then factored. */
  readonly main: Float64Array;
  readonly first: Float64Array;
  readonly second: Float64Array;

  constructor(n: number) {
    this.main = new Float64Array(n);
    this.first = new Float64Array(n);
    this.second = new Float64Array(n);
  }

  /** Replaces the matrix by its factors. */
  factor(): void {
    const { main: d, first: e, second: f } = this;
    for (let i = 1; i < d.length; i++) {
      if (i >= 2) {
        const own = f[i]!;
        f[i] = own / d[i - 2]!;
        e[i]! -= own * e[i - 1]!;
        d[i]! -= own * f[i]!;
      }
      const own = e[i]!;
      e[i] = own / d[i - 1]!;
      d[i]! -= own * e[i]!;
    }
  }

  /** Replaces the right-hand side by the solution; the matrix is factored. */
  solve(x: Float64Array): void {
    const { main: d, first: e, second: f } = this;
    const n = d.length;
    for (let i = 1; i < n; i++) x[i]! -= e[i]! * x[i - 1]! + (i >= 2 ? f[i]! * x[i - 2]! : 0);
    for (let i = 0; i < n; i++) x[i]! /= d[i]!;
    for (let i = n - 2; i >= 0; i--) x[i]! -= e[i + 1]! * x[i + 1]! + (i + 2 < n ? f[i + 2]! * x[i + 2]! : 0);
  }
}
