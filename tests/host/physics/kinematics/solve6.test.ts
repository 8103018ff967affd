import fc from 'fast-check';
import { Matrix, determinant, solve } from 'ml-matrix';
import { expect, test } from 'vitest';
import { solve6 } from '../../../../host/physics/kinematics/solve6.ts';

const SEED = 6;

test(`solutions and determinants are those of ml-matrix (seed ${SEED})`, () => {
  const entry = fc.integer({ min: -1000, max: 1000 }).map((n) => n / 100);
  const entries = (length: number): fc.Arbitrary<number[]> => fc.array(entry, { minLength: length, maxLength: length });
  fc.assert(
    fc.property(entries(36), entries(6), (a, b) => {
      const matrix = Matrix.from1DArray(6, 6, a);
      const wanted = determinant(matrix);
      fc.pre(Math.abs(wanted) > 1);
      const x = Float64Array.from(b);
      expect(Math.abs(solve6(Float64Array.from(a), x) / wanted - 1)).toBeLessThan(1e-9);
      const theirs = solve(matrix, Matrix.columnVector(b)).to1DArray();
      const size = Math.max(1, ...theirs.map(Math.abs));
      theirs.forEach((value, i) => expect(Math.abs(x[i]! - value) / size).toBeLessThan(1e-8));
    }),
    { seed: SEED, numRuns: 500 },
  );
});

test('a zero on the diagonal is no obstacle: rows are exchanged', () => {
  const a = new Float64Array(36);
  [5, 0, 1, 2, 3, 4].forEach((column, row) => (a[6 * row + column] = 1));
  const b = Float64Array.of(60, 10, 20, 30, 40, 50);
  expect(solve6(a, b)).toBe(-1);
  expect([...b]).toEqual([10, 20, 30, 40, 50, 60]);
});

test('singular and NaN matrices have the determinant 0 or NaN', () => {
  expect(solve6(new Float64Array(36), new Float64Array(6))).toBe(0);
  expect(solve6(new Float64Array(36).fill(1), new Float64Array(6))).toBe(0);
  expect(Math.abs(solve6(new Float64Array(36).fill(NaN), new Float64Array(6))) > 0).toBe(false);
});
