/** A front of many as a few that differ. */
import { expect, it } from 'vitest';
import { dominates } from '../../../../host/design/front/sort.ts';
import { thinned } from '../../../../host/design/front/thin.ts';
import { Draws } from '../../../../host/design/search/draws.ts';

const line = (count: number): Float64Array[] =>
  Array.from({ length: count }, (_, i) => Float64Array.of(i / (count - 1), 1 - i / (count - 1)));

it('the ends stay, and what lies farthest from all that stay', () => {
  expect(thinned(line(101), { most: 3 })).toEqual([0, 50, 100]);
  expect(thinned(line(101), { most: 5 })).toEqual([0, 25, 50, 75, 100]);
  expect(thinned(line(101))).toHaveLength(8);
});

it('lengths count in shares of the front, whatever the units', () => {
  const stretched = line(101).map(([a, b]) => Float64Array.of(a! * 1e-3, b! * 1e6 + 5e6));
  expect(thinned(stretched, { most: 5 })).toEqual([0, 25, 50, 75, 100]);
});

it('what nobody would tell apart is one choice', () => {
  expect(thinned(line(101), { alike: [0.3, 0.3] })).toEqual([0, 50, 100]);
  expect(thinned([Float64Array.of(1, 2), Float64Array.of(1.01, 1.99)], { alike: [0.1, 0.1] })).toEqual([0]);
  expect(thinned([Float64Array.of(1, 2), Float64Array.of(1.01, 1.8)], { alike: [0.1, 0.1] })).toEqual([0, 1]);
});

it('the dominated, and equals, are left out; one point is a front, and none', () => {
  expect(
    thinned(
      [
        [2, 2],
        [1, 3],
        [2, 2],
        [3, 3],
      ].map((point) => Float64Array.from(point)),
    ),
  ).toEqual([1, 0]);
  expect(thinned([Float64Array.of(4, 4, 4)])).toEqual([0]);
  expect(thinned([])).toEqual([]);
});

it('of a random front in four dimensions eight stay, the best of each objective among them', () => {
  const draws = Draws.of(8, 0);
  const all = Array.from({ length: 300 }, () => Float64Array.from({ length: 4 }, () => draws.uniform()));
  const kept = thinned(all);
  expect(kept).toHaveLength(8);
  for (let k = 0; k < 4; k++) {
    const least = Math.min(...all.map((point) => point[k]!));
    expect(kept.some((i) => all[i]![k] === least)).toBe(true);
  }
  for (const i of kept) expect(all.some((other) => dominates(other, all[i]!))).toBe(false);
});

it('what is the same for another reason is one choice; what stays first stays, and the rest fills up', () => {
  const byTens = (i: number, j: number): boolean => Math.floor(i / 10) === Math.floor(j / 10);
  const few = thinned(line(101), { same: byTens });
  expect(new Set(few.map((i) => Math.floor(i / 10))).size).toBe(few.length);
  expect(thinned(line(31), { same: byTens, most: 8 })).toHaveLength(4);
  expect(thinned(line(101), { most: 3, first: [40, 60] })).toEqual([0, 40, 60]);
});
