/** Who stays in a crowd, and who takes whose place, by the rules: feasible first, then fewer violations; nobody for a worse child. */
import { describe, expect, it } from 'vitest';
import { gde3From, tellGde3 } from '../../../../host/design/search/gde3.ts';
import { pointOf } from '../../../../host/design/search/point.ts';
import { polishFrom, tellPolish } from '../../../../host/design/search/polish.ts';

const SHAPE = { dims: 1, objectives: 2, constraints: 1 };
const point = (a: number, b: number, violation: number, at = 0) =>
  pointOf(SHAPE, Float64Array.of(0.5), Float64Array.of(a, b, violation), 0, at);
const told = (points: readonly ReturnType<typeof point>[]): number[][] =>
  points.map(({ objectives, violation }) => [...objectives, violation]);

describe('a crowd of 60', () => {
  it('of 100 that all break something: those that break least', () => {
    const all = Array.from({ length: 100 }, (_, i) => point(-i, -i, 100 - i, i));
    const kept = gde3From(all).crowd.map(({ violation }) => violation);
    expect(kept.sort((a, b) => a - b)).toEqual(Array.from({ length: 60 }, (_, i) => i + 1));
  });

  it('feasible ones before all others, front by front', () => {
    const first = Array.from({ length: 30 }, (_, i) => point(i, 29 - i, 0, i));
    const second = Array.from({ length: 20 }, (_, i) => point(i + 40, 69 - i, 0, 30 + i));
    const broken = Array.from({ length: 50 }, (_, i) => point(-1, -1, 0.1 * (50 - i), 50 + i));
    const { crowd } = gde3From([...broken, ...second, ...first]);
    expect(crowd).toHaveLength(60);
    for (const own of [...first, ...second]) expect(crowd).toContain(own);
    expect(Math.max(...crowd.map(({ violation }) => violation))).toBeCloseTo(1, 12);
  });
});

describe('parent and child', () => {
  it.each([
    ['breaks less', [5, 5, 0.5], [9, 9, 0.4], [[9, 9, 0.4]]],
    ['breaks more', [5, 5, 0.5], [1, 1, 0.6], [[5, 5, 0.5]]],
    ['breaks nothing any more', [5, 5, 0.5], [9, 9, 0], [[9, 9, 0]]],
    ['breaks something now', [5, 5, 0], [1, 1, 0.1], [[5, 5, 0]]],
    ['is nowhere worse', [5, 5, 0], [5, 4, 0], [[5, 4, 0]]],
    ['is worse', [5, 5, 0], [5, 6, 0], [[5, 5, 0]]],
  ] as const)('the child %s', (_, parent, child, stays) => {
    const gde3 = gde3From([point(parent[0], parent[1], parent[2])]);
    tellGde3(gde3, [point(child[0], child[1], child[2], 1)]);
    expect(told(gde3.crowd)).toEqual(stays);
  });
});

describe('polishing the end of a front', () => {
  const all = Array.from({ length: 30 }, (_, i) => point(i, 30 - i, 0, i));

  it('begins with the 20 best by its objective', () => {
    expect(polishFrom(all, 0).crowd).toEqual(all.slice(0, 20));
    expect(polishFrom(all, 1).crowd).toEqual(all.slice(10).reverse());
  });

  it('keeps what is better by its objective, whatever the others say', () => {
    const polish = polishFrom([point(1, 9, 0, 0), point(1, 9, 0, 1)], 1);
    tellPolish(polish, [point(7, 8, 0, 2), point(0, 10, 0, 3)]);
    expect(told(polish.crowd)).toEqual([
      [7, 8, 0],
      [1, 9, 0],
    ]);
  });
});
