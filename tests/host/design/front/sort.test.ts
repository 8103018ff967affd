/** Who beats whom, by hand and by definition. */
import { expect, it } from 'vitest';
import { dominates, fronts, nonDominated, uncrowded } from '../../../../host/design/front/sort.ts';
import { Draws } from '../../../../host/design/search/draws.ts';

const list = (...points: number[][]): Float64Array[] => points.map((point) => Float64Array.from(point));

it('one dominates where it is nowhere worse and somewhere better', () => {
  const [a, b, c, d] = list([1, 2], [1, 3], [2, 1], [1, 2]) as [Float64Array, Float64Array, Float64Array, Float64Array];
  expect([dominates(a, b), dominates(b, a), dominates(a, c), dominates(c, a), dominates(a, d)]).toEqual([
    true,
    false,
    false,
    false,
    false,
  ]);
  expect([dominates(Float64Array.of(NaN, 0), b), dominates(b, Float64Array.of(NaN, 9))]).toEqual([false, false]);
});

it('fronts by hand: Deb and others 2002, their definition', () => {
  const points = list([3, 3], [1, 4], [2, 2], [4, 1], [4, 4], [5, 5], [2, 2]);
  expect(fronts(points)).toEqual([[1, 2, 3, 6], [0], [4], [5]]);
  expect(nonDominated(points)).toEqual([1, 2, 3]);
  expect([fronts([]), nonDominated([])]).toEqual([[], []]);
});

it('of 200 random points in three dimensions, each front is what is dominated by nothing but the fronts before it', () => {
  const draws = Draws.of(3, 0);
  const points = Array.from({ length: 200 }, () => Float64Array.from({ length: 3 }, () => draws.below(8)));
  const sorted = fronts(points);
  const before = new Set<number>();
  for (const front of sorted) {
    const left = points.flatMap((_, i) => (before.has(i) ? [] : [i]));
    const own = left.filter((i) => !left.some((j) => dominates(points[j]!, points[i]!)));
    expect(front).toEqual(own);
    for (const i of front) before.add(i);
  }
  expect(before.size).toBe(200);
});

it('the most crowded goes first, the ends never', () => {
  const points = list([0, 10], [4.9, 5.2], [5, 5], [5.1, 4.8], [10, 0]);
  expect(uncrowded(points, 4)).toEqual([0, 1, 3, 4]);
  expect(uncrowded(points, 3)).toEqual([0, 1, 4]);
  expect(uncrowded(points, 2)).toEqual([0, 4]);
  expect(uncrowded(points, 9)).toEqual([0, 1, 2, 3, 4]);
  // Ends stay even where they stand close together.
  expect(uncrowded(list([0, 5, 5], [0.01, 4, 5], [0.02, 5, 4], [5, 4.5, 4.5]), 3)).toEqual([0, 1, 2]);
});

it('of points all in one place the first stay', () => {
  expect(uncrowded(list([1, 1], [1, 1], [1, 1], [1, 1]), 2)).toEqual([0, 1]);
});
