import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ForwardSolver, type MutablePose, poseFromHome } from '../../../../host/physics/kinematics/forward.ts';
import { inverse } from '../../../../host/physics/kinematics/inverse.ts';
import { poseDistance } from '../../../../host/physics/kinematics/pose-distance.ts';
import { HOME, type Platform, type Pose, toRad } from '../../../../host/rig/rig.ts';
import { anyMountAndPivot, smallPose } from '../arbitraries.ts';
import { crankPlatform, linearPlatform, pointsPlatform } from '../platforms.ts';

const SEED = 650;

function expectNear(found: Pose, wanted: Pose): void {
  const { mm, rad } = poseDistance(found, wanted);
  expect(mm).toBeLessThan(1e-9);
  expect(rad).toBeLessThan(1e-10);
}

/** Legs at the pose, when they stand within ±60 degrees. */
function legsAt(platform: Platform, pose: Pose): Float64Array {
  const legs = inverse(platform, pose);
  fc.pre(legs !== null && (platform.drive === 'linear' || legs.every((a) => Math.abs(a) < toRad(60))));
  return legs;
}

describe.each([
  ['crank', crankPlatform],
  ['linear', linearPlatform],
] as const)('%s platform', (_, build) => {
  test(`forward of inverse is the pose, from home, in any mount, about any pivot (seed ${SEED})`, () => {
    fc.assert(
      fc.property(anyMountAndPivot, smallPose, (placed, pose) => {
        const platform = build(placed);
        const solver = new ForwardSolver(platform);
        const found: MutablePose = [0, 0, 0, 0, 0, 0];
        expect(solver.solve(legsAt(platform, pose), HOME, found)).toBe(true);
        expectNear(found, pose);
        expect(solver.flipped).toBe(false);
        expect(solver.residual_mm).toBeLessThan(1e-9);
        expect(solver.iterations).toBeLessThan(9);
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  test(`from a pose nearby it takes at most 4 steps (seed ${SEED})`, () => {
    const platform = build();
    const solver = new ForwardSolver(platform);
    const found: MutablePose = [0, 0, 0, 0, 0, 0];
    fc.assert(
      fc.property(smallPose, smallPose, (pose, offset) => {
        // A fifth of the range of poses: about 1 mm and 1.6 degrees, what a lively head does in a servo frame.
        const start = pose.map((v, k) => v + offset[k]! / 5) as MutablePose;
        expect(solver.solve(legsAt(platform, pose), start, found)).toBe(true);
        expectNear(found, pose);
        expect(solver.iterations).toBeLessThanOrEqual(4);
      }),
      { seed: SEED, numRuns: 300 },
    );
  });

  test(`moved to from home all the way, it is the pose as well (seed ${SEED})`, () => {
    fc.assert(
      fc.property(anyMountAndPivot, smallPose, (placed, pose) => {
        const platform = build(placed);
        const found = poseFromHome(platform, legsAt(platform, pose));
        expect(found).not.toBeNull();
        expectNear(found!.pose, pose);
      }),
      { seed: SEED, numRuns: 100 },
    );
  });
});

test('the start may be the pose it writes to, and the exact pose takes no step', () => {
  const platform = crankPlatform();
  const solver = new ForwardSolver(platform);
  const pose: MutablePose = [1, 2, 3, 0.1, 0.05, -0.1];
  const wanted: Pose = [2, 1, 3, 0.08, 0.04, -0.12];
  expect(solver.solve(inverse(platform, wanted)!, pose, pose)).toBe(true);
  expectNear(pose, wanted);
  expect(solver.solve(inverse(platform, wanted)!, pose, pose)).toBe(true);
  expect(solver.iterations).toBe(0);
});

test.each([
  // Base joints 43 mm apart, moving joints 86 mm: a leg of 1 mm beside one of 1000 mm cannot be.
  ['lengths that fit no pose', linearPlatform(), [1, 1000, 160, 160, 160, 160]],
  ['a length below zero', linearPlatform(), [-160, 160, 160, 160, 160, 160]],
  ['lengths of zero', linearPlatform(), [0, 0, 0, 0, 0, 0]],
  ['a NaN', crankPlatform(), [0, 0, NaN, 0, 0, 0]],
  ['an infinity', crankPlatform(), [0, 0, Infinity, 0, 0, 0]],
  ['an infinite length', linearPlatform(), [160, 160, Infinity, 160, 160, 160]],
  ['three legs', crankPlatform(), [0, 0, 0]],
])('%s: no answer is a value, and the pose is left alone', (_, platform, legs) => {
  const pose: MutablePose = [1, 2, 3, 0, 0, 0];
  expect(new ForwardSolver(platform).solve(legs, pose, pose)).toBe(false);
  expect(pose).toEqual([1, 2, 3, 0, 0, 0]);
  expect(poseFromHome(platform, legs)).toBeNull();
});

test('a NaN to start from gives no answer', () => {
  const pose: MutablePose = [1, 2, 3, 0, 0, 0];
  expect(new ForwardSolver(crankPlatform()).solve([0, 0, 0, 0, 0, 0], [NaN, 0, 0, 0, 0, 0], pose)).toBe(false);
  expect(pose).toEqual([1, 2, 3, 0, 0, 0]);
});

test('the same legs put together the other way are told apart from the pose the plate can move to', () => {
  // Level lengths fit the mirror image below the base plate too.
  const platform = linearPlatform();
  const solver = new ForwardSolver(platform);
  const lengths = inverse(platform, HOME)!;
  const found: MutablePose = [0, 0, 0, 0, 0, 0];
  expect(solver.solve(lengths, [0, 0, -2 * platform.home_z_mm + 2, 0, 0, 0], found)).toBe(true);
  expect(found[2]).toBeCloseTo(-2 * platform.home_z_mm, 9);
  expect(solver.flipped).toBe(true);
  expectNear(poseFromHome(platform, lengths)!.pose, HOME);
});

test('a platform that is singular everywhere has no answer away from the exact pose', () => {
  const hexagon = [0, 1, 2, 3, 4, 5].map((k) => [Math.cos((k * Math.PI) / 3), Math.sin((k * Math.PI) / 3), 0]);
  const platform = pointsPlatform(
    hexagon,
    hexagon.map((p) => p.map((v) => v * 0.6)),
  );
  const lengths = inverse(platform, [0, 0, 1, 0, 0, 0])!;
  const solver = new ForwardSolver(platform);
  const found: MutablePose = [0, 0, 0, 0, 0, 0];
  const solved = solver.solve(lengths, [0.1, 0.05, 1.1, 0.1, 0.05, 0.2], found);
  // Rounding may let it end somewhere on the curve of poses with these lengths; then the lengths must fit.
  if (solved) inverse(platform, found)!.forEach((length, i) => expect(length).toBeCloseTo(lengths[i]!, 9));
  else expect(found).toEqual([0, 0, 0, 0, 0, 0]);
});
