/**
 * Trapezoid times against closed forms; values and sources in values/profiles.json (K. M. Lynch, F. C. Park, Modern Robotics,
 * Cambridge University Press 2017, 9.2.2.2; L. Biagiotti, C. Melchiorri, Trajectory Planning for Automatic Machines and
 * Robots, Springer 2008, 3.2; from memory; the asymmetric form is ours). The controller's joint tracking at 1000 Hz, from rest to rest.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { type Parts, compileParts } from './parts.ts';
import values from './values/profiles.json' with { type: 'json' };

interface Case {
  readonly L: number;
  readonly v: number;
  readonly a: number;
  readonly d: number;
  readonly T: number;
}
const symmetric = values['pr-trapezoid-sym'];
const asymmetric = values['pr-trapezoid-asym'];
const cases: Case[] = [
  ...symmetric.inputs.map(({ v, a }, i) => ({ L: 1, v, a, d: a, T: symmetric.derived.T[i]! })),
  ...asymmetric.inputs.map((input, i) => ({ ...input, T: asymmetric.derived.T[i]! })),
];

let parts: Parts;
beforeAll(async () => {
  parts = await compileParts();
});

describe('a step from rest', () => {
  it.each(cases)('over $L at v $v, a $a, d $d takes $T s, + 1 tick + 0.5 % at most', ({ L, v, a, d, T }) => {
    const hz = 1000;
    const seconds = parts.stepTicks(L, v, a, d, hz) / hz;
    expect(seconds).toBeLessThanOrEqual(T * 1.005 + 1 / hz);
    // Not faster than the optimum either: a step's last tick may be shorter than a full one.
    expect(seconds).toBeGreaterThanOrEqual(T - 2 / hz);
  });
});
