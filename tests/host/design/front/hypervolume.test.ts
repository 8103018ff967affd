/** Hypervolumes by hand, and against counting the cells of a grid. */
import { expect, it } from 'vitest';
import { hypervolume } from '../../../../host/design/front/hypervolume.ts';
import { Draws } from '../../../../host/design/search/draws.ts';

const of = (reference: number[], ...points: number[][]): number =>
  hypervolume(
    points.map((point) => Float64Array.from(point)),
    Float64Array.from(reference),
  );

it('by hand, in two to five dimensions', () => {
  expect(of([4, 4], [1, 3], [2, 2], [3, 1])).toBe(6);
  expect(of([4, 4], [2, 2], [3, 3])).toBe(4);
  // Two boxes of 2 × 2 × 1 and 1 × 1 × 2 that share 1 × 1 × 1.
  expect(of([2, 2, 2], [0, 0, 1], [1, 1, 0])).toBe(5);
  // Three slabs of a cube of 2, each half of it: all but the one cell that none reaches.
  expect(of([2, 2, 2], [0, 0, 1], [0, 1, 0], [1, 0, 0])).toBe(7);
  expect(of([2, 2, 2, 2], [0, 0, 0, 1], [0, 0, 1, 0], [0, 1, 0, 0], [1, 0, 0, 0])).toBe(15);
  expect(of([2, 2, 2, 2, 2], [1, 1, 1, 1, 0], [0, 1, 1, 1, 1])).toBe(3);
});

it('nothing, what is not better than the reference, and NaN count nothing', () => {
  expect(of([1, 1])).toBe(0);
  expect(of([1, 1], [1, 0], [0, 1], [2, -5], [NaN, 0])).toBe(0);
  expect(of([1, 1], [0, 0], [0, 0])).toBe(1);
});

it.each([2, 3, 4, 5])('in %i dimensions as many cells of a grid as the points dominate', (dims) => {
  const draws = Draws.of(dims, 0);
  for (let round = 0; round < 12; round++) {
    const points = Array.from({ length: 9 }, () => Array.from({ length: dims }, () => draws.below(6)));
    let cells = 0;
    for (let cell = 0; cell < 5 ** dims; cell++) {
      const at = Array.from({ length: dims }, (_, k) => Math.floor(cell / 5 ** k) % 5);
      if (points.some((point) => point.every((value, k) => value <= at[k]!))) cells++;
    }
    expect(of(Array<number>(dims).fill(5), ...points)).toBe(cells);
  }
});
