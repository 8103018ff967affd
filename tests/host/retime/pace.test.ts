import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Marks } from '../../../host/retime/pace.ts';
import { FastestPace, type PaceProblem, Rows, largestPace } from '../../../host/retime/pace.ts';

const row = fc.record({
  a: fc.oneof(fc.constant(0), fc.double({ min: -5, max: 5, noNaN: true })),
  b: fc.double({ min: -20, max: 20, noNaN: true }),
  d: fc.double({ min: 1e-3, max: 10, noNaN: true }),
});
type Row = { a: number; b: number; d: number };

/** Highest less lowest u at x; negative: no u keeps all rows. */
function room(rows: readonly Row[], x: number): number {
  let [low, high] = [-Infinity, Infinity];
  for (const { a, b, d } of rows) {
    if (a > 0) high = Math.min(high, (d - b * x) / a);
    else if (a < 0) low = Math.max(low, (d - b * x) / a);
    else if (b * x > d * (1 + 1e-12)) return -1;
  }
  return high - low;
}

describe('the largest pace at a point', () => {
  it('keeps all rows, and no larger one does', () => {
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 30 }), (list) => {
        fc.pre(list.every(({ a }) => a === 0 || Math.abs(a) > 1e-6));
        const rows = new Rows();
        for (const { a, b, d } of list) rows.add(a, b, d);
        const x = largestPace(rows, 4);
        expect(room(list, x)).toBeGreaterThanOrEqual(-1e-6 * Math.max(1, x));
        if (x < 4) expect(room(list, x * (1 + 1e-9) + 1e-12)).toBeLessThan(1e-6);
      }),
    );
  });
});

/** A straight way of length 1 with speed and acceleration bounds: q = s, so q' = 1 and q'' = 0. */
const straight = (points: number, speed: number, plus: number, minus: number): PaceProblem => ({
  points,
  step: () => 1 / (points - 1),
  cap: (i) => (i === 0 || i === points - 1 ? 1e-12 : speed * speed),
  rows: (_, out) => {
    out.add(1, 0, plus);
    out.add(-1, 0, minus);
  },
});

const duration = (problem: PaceProblem, { x }: FastestPace): number => {
  let t = 0;
  for (let i = 0; i + 1 < problem.points; i++) t += (2 * problem.step(i)) / (Math.sqrt(x[i]!) + Math.sqrt(x[i + 1]!));
  return t;
};

describe('the fastest pace', () => {
  // Rest to rest over 1 at most v with a and d: the trapezoid (elementary kinematics).
  it.each([
    [0.5, 1, 1, 2.5],
    [2, 1, 1, 2],
    [100, 2, 4, Math.sqrt((2 * (2 + 4)) / (2 * 4))],
  ])('speed %d, plus %d, minus %d: %d s', (speed, plus, minus, seconds) => {
    const problem = straight(2001, speed, plus, minus);
    const pace = new FastestPace(problem);
    pace.solve(0, new Marks(2001).addAll());
    expect(duration(problem, pace) / seconds).toBeCloseTo(1, 3);
  });

  it('is found anew where limits change as if from nothing', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(row, row), { minLength: 5, maxLength: 60 }),
        fc.array(fc.tuple(fc.nat(59), fc.double({ min: 0.05, max: 1, noNaN: true })), { minLength: 1, maxLength: 5 }),
        (points, changes) => {
          const share = new Float64Array(points.length).fill(1);
          const problem: PaceProblem = {
            points: points.length,
            step: () => 0.1,
            cap: () => 1,
            rows: (i, out) => {
              for (const { a, b, d } of points[i]!) out.add(a, b, share[i]! * d);
            },
          };
          const kept = new FastestPace(problem);
          kept.solve(1, new Marks(points.length).addAll());
          const changed = new Marks(points.length);
          for (const [at, factor] of changes) {
            share[at % points.length]! *= factor;
            changed.add(at % points.length);
          }
          const before = kept.x.slice();
          kept.solve(1, changed);
          const anew = new FastestPace(problem);
          anew.solve(1, new Marks(points.length).addAll());
          expect([...kept.x]).toEqual([...anew.x]);
          kept.moved.at.forEach((moved, i) => expect(moved === 1).toBe(kept.x[i] !== before[i]));
        },
      ),
    );
  });
});
