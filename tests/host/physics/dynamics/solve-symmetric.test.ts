import { Matrix, determinant, inverse as inverseOf, solve } from 'ml-matrix';
import { expect, it } from 'vitest';
import { invert6 } from '../../../../host/physics/kinematics/invert6.ts';
import { solveSymmetric } from '../../../../host/physics/dynamics/solve-symmetric.ts';

/** Numbers from -1 to 1, always the same. */
function numbers(count: number, seed: number): number[] {
  let state = seed;
  return Array.from({ length: count }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 31 - 1;
  });
}

it('symmetric equations: as ml-matrix has them', () => {
  for (let n = 1; n <= 16; n++) {
    const half = new Matrix(Array.from({ length: n }, (_, i) => numbers(n, 17 * n + i)));
    const a = half.mmul(half.transpose()).add(Matrix.eye(n, n, 0.1));
    const b = numbers(n, n);
    const x = Float64Array.from(b);
    expect(solveSymmetric(Float64Array.from(a.to1DArray()), x, n)).toBe(true);
    solve(a, Matrix.columnVector(b))
      .to1DArray()
      .forEach((value, i) => expect(x[i]).toBeCloseTo(value, 9));
  }
});

it('a row of zeros has no answer, the others have theirs', () => {
  const x = Float64Array.from([2, 1, 6]);
  expect(solveSymmetric(Float64Array.from([4, 0, 0, 0, 0, 0, 0, 0, 3]), x, 3)).toBe(false);
  expect([...x]).toEqual([0.5, NaN, 2]);
});

it('the inverse of a 6×6: as ml-matrix has it; none of a singular one, nor of NaN', () => {
  const out = new Float64Array(36);
  for (let seed = 1; seed < 50; seed++) {
    const flat = numbers(36, seed);
    const rows = [0, 1, 2, 3, 4, 5].map((i) => flat.slice(6 * i, 6 * i + 6));
    expect(invert6(Float64Array.from(flat), out)).toBeCloseTo(determinant(new Matrix(rows)), 9);
    const wanted = inverseOf(new Matrix(rows)).to1DArray();
    const size = Math.max(...wanted.map(Math.abs));
    wanted.forEach((value, k) => expect(Math.abs(out[k]! - value) / size).toBeLessThan(1e-10));
  }
  expect(invert6(new Float64Array(36), out)).toBe(0);
  expect(invert6(new Float64Array(36).fill(NaN), out)).toBe(0);
});
