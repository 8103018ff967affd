/**
 * A symmetric positive definite matrix of five diagonals, the same figures all along each: factored once as L·D·Lᵀ, then solved for
 * any right-hand side in a pass down and a pass up. Source: G. Golub, C. Van Loan, "Matrix Computations", 4th ed., section 4.3
 * (banded systems; from memory).
 */
export class Pentadiagonal {
  private readonly d: Float64Array;
  /** The two diagonals of L below its ones. */
  private readonly e: Float64Array;
  private readonly f: Float64Array;

  /** @param main,first,second figures on the diagonal, beside it and two beside it; n rows. */
  constructor(n: number, main: number, first: number, second: number) {
    this.d = new Float64Array(n);
    this.e = new Float64Array(n);
    this.f = new Float64Array(n);
    const { d, e, f } = this;
    for (let i = 0; i < n; i++) {
      if (i >= 2) f[i] = second / d[i - 2]!;
      if (i >= 1) e[i] = (first - (i >= 2 ? f[i]! * e[i - 1]! * d[i - 2]! : 0)) / d[i - 1]!;
      d[i] = main - (i >= 1 ? e[i]! ** 2 * d[i - 1]! : 0) - (i >= 2 ? f[i]! ** 2 * d[i - 2]! : 0);
    }
  }

  /** Replaces the right-hand side by the solution. */
  solve(x: Float64Array): void {
    const { d, e, f } = this;
    const n = d.length;
    for (let i = 1; i < n; i++) x[i]! -= e[i]! * x[i - 1]! + (i >= 2 ? f[i]! * x[i - 2]! : 0);
    for (let i = 0; i < n; i++) x[i]! /= d[i]!;
    for (let i = n - 2; i >= 0; i--) x[i]! -= e[i + 1]! * x[i + 1]! + (i + 2 < n ? f[i + 2]! * x[i + 2]! : 0);
  }
}
