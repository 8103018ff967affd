/** What counts as found: never a hole, and where nothing holds, what comes nearest. */
import { expect, it } from 'vitest';
import { BROKEN, compare, pointOf } from '../../../../host/design/search/point.ts';
import type { Problem } from '../../../../host/design/search/problem.ts';
import { plan, searched } from './fixture.ts';
import { planted } from './planted.ts';

const SHAPE = { dims: 1, objectives: 2, constraints: 2 };
const point = (...answers: number[]) => pointOf(SHAPE, new Float64Array(1), Float64Array.from(answers), 0, 0);

it.each([
  [NaN, 0, 0, 0],
  [0, -Infinity, 0, 0],
  [0, 0, NaN, 0],
  [0, 0, 0, NaN],
  [0, 0, Infinity, 0],
  [-1e9, -1e9, NaN, NaN],
])('%d, %d with violations %d, %d is never feasible, and worse than any that is a number', (...answers) => {
  const broken = point(...answers);
  expect(broken.violation).toBe(BROKEN);
  expect(compare(point(1e300, 1e300, 1e300, 1e308), broken, 0)).toBeLessThan(0);
});

it('feasible first, then the smaller sum of violations, then the objective, the other objectives, the earlier', () => {
  expect(compare(point(9, 9, 0, 0), point(1, 1, 0.1, 0), 0)).toBeLessThan(0);
  expect(compare(point(9, 9, 0.1, 0.1), point(1, 1, 0, 0.3), 0)).toBeLessThan(0);
  expect(compare(point(2, 1, 0, 0), point(1, 2, 0, 0), 0)).toBeGreaterThan(0);
  expect(compare(point(2, 1, 0, 0), point(1, 2, 0, 0), 1)).toBeLessThan(0);
  expect(compare(point(1, 1, 0, 0), point(1, 2, 0, 0), 0)).toBeLessThan(0);
  expect(compare({ ...point(1, 1, 0, 0), at: 3 }, { ...point(1, 1, 0, 0), at: 7 }, 0)).toBeLessThan(0);
  expect(point(1, 1, -5, 0.25).violation).toBe(0.25);
});

it('holes of NaN that look better than all else hold nothing of what is found, one objective or several', async () => {
  const one = planted({ seed: 3, dims: 6, walls: 2, hasHoles: true });
  const two: Problem = {
    ...one,
    objectives: 2,
    evaluate: (x, out, at) => {
      one.evaluate(x, out, at + 1);
      out[at] = x[0]! > one.hidden[0]! + 0.1 ? -100 : x[1]!;
    },
  };
  for (const problem of [one, two]) {
    const { front, feasible, evaluated } = await searched(problem, plan(1, 1500));
    expect(front.length).toBeGreaterThan(0);
    expect(feasible).toBeLessThan(evaluated);
    for (const { x, objectives, violations } of front) {
      expect(x[0]! - one.hidden[0]!).toBeLessThanOrEqual(0.1);
      expect([...objectives, ...violations].every(Number.isFinite)).toBe(true);
    }
  }
});

it.each([1, 2])('%i objectives, nothing holds: no front, and the point that breaks least', async (objectives) => {
  const problem: Problem = {
    dims: 3,
    objectives,
    constraints: 1,
    evaluate: (x, out, at) => {
      out.fill(0, at, at + objectives);
      out[at + objectives] = 0.5 + x.reduce((sum, value) => sum + (value - 0.25) ** 2, 0);
    },
  };
  const { front, nearest, feasible } = await searched(problem, plan(1, 1500));
  expect([front.length, feasible]).toEqual([0, 0]);
  expect(nearest!.violation).toBeLessThan(0.501);
});

it('a budget smaller than the spread, and a problem of one number, end as they should', async () => {
  const problem: Problem = {
    dims: 1,
    objectives: 1,
    constraints: 0,
    evaluate: (x, out, at) => (out[at] = (x[0]! - 0.3) ** 2),
  };
  expect((await searched(problem, plan(1, 40))).evaluated).toBe(40);
  const { front } = await searched(problem, plan(1, 700));
  expect(front[0]!.x[0]).toBeCloseTo(0.3, 4);
  expect((await searched({ ...problem, evaluate: (_x, out, at) => (out[at] = NaN) }, plan(1, 700))).front).toEqual([]);
});
