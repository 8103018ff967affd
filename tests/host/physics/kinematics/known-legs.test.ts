import { describe, expect, it } from 'vitest';
import { inverse } from '../../../../host/physics/kinematics/inverse.ts';
import { ForwardSolver, type MutablePose } from '../../../../host/physics/kinematics/forward.ts';
import { KnownLegs } from '../../../../host/physics/kinematics/known-legs.ts';
import { HOME, type Pose } from '../../../../host/rig/rig.ts';
import { demo } from '../../retime/rigs.ts';

const platform = demo().platform!;
const RAISED: Pose = [1, 2, 3, 0.01, 0.02, 0.03];
const FAR: Pose = [0, 0, 1000, 0, 0, 0];

describe('legs of a pose that stays', () => {
  it('are worked out once, and anew for every other pose', () => {
    const known = new KnownLegs(platform);
    const looks = [HOME, HOME, RAISED, RAISED, FAR, FAR, HOME].map((pose) => [known.at(pose), [...known.legs]]);
    expect(known.solved).toBe(4);
    expect(looks.map(([isReached]) => isReached)).toEqual([true, true, true, true, false, false, true]);
    for (const [k, pose] of [HOME, HOME, RAISED, RAISED].entries())
      expect(looks[k]![1]).toEqual([...inverse(platform, pose)!]);
    expect(looks[6]![1]).toEqual([...inverse(platform, HOME)!]);
  });
});

describe('a pose asked for again', () => {
  it('is the same to the last bit, and a failure in between does not pass for it', () => {
    const solver = new ForwardSolver(platform);
    const legs = inverse(platform, RAISED)!;
    const [first, again, other]: MutablePose[] = [[...HOME], [...HOME], [...HOME]];
    expect(solver.solve(legs, HOME, first!)).toBe(true);
    const { iterations, residual_mm } = solver;
    expect(solver.solve(legs, HOME, again!)).toBe(true);
    expect([again, solver.iterations, solver.residual_mm]).toEqual([first, iterations, residual_mm]);
    expect(solver.solve(new Float64Array(6).fill(NaN), HOME, other!)).toBe(false);
    expect(solver.solve(legs, HOME, again!)).toBe(true);
    expect([again, solver.iterations, solver.residual_mm]).toEqual([first, iterations, residual_mm]);
    expect(solver.solve(inverse(platform, HOME)!, HOME, again!)).toBe(true);
    again!.forEach((value) => expect(value).toBeCloseTo(0, 9));
  });
});
