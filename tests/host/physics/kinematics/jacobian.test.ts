import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { inverse } from '../../../../host/physics/kinematics/inverse.ts';
import { jacobianInto } from '../../../../host/physics/kinematics/jacobian.ts';
import { type Pose, toRad } from '../../../../host/rig/rig.ts';
import { axisMatrix, mulMat, rpyMatrix, rpyOf } from '../../../../host/rig/rotation.ts';
import { anyMountAndPivot, smallPose } from '../arbitraries.ts';
import { crankPlatform, linearPlatform } from '../platforms.ts';

const SEED = 7;
const AXES = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
] as const;

/** The pose after a small motion along (k < 3, mm) or about (k ≥ 3, rad) one of the carrier's axes. */
function moved(pose: Pose, k: number, by: number): Pose {
  const [x, y, z, ...rpy] = pose;
  if (k < 3) return [x + (k === 0 ? by : 0), y + (k === 1 ? by : 0), z + (k === 2 ? by : 0), ...rpy];
  return [x, y, z, ...rpyOf(mulMat(axisMatrix(AXES[k - 3]!, by), rpyMatrix(rpy)))];
}

describe.each([
  ['crank', crankPlatform],
  ['linear', linearPlatform],
] as const)('%s platform', (_, build) => {
  test(`is what central differences of the inverse kinematics give (seed ${SEED})`, () => {
    const J = new Float64Array(36);
    fc.assert(
      fc.property(anyMountAndPivot, smallPose, (placed, pose) => {
        const platform = build(placed);
        const legs = inverse(platform, pose);
        // Near the end of the crank's reach its rates grow without bound, and differences see less and less.
        fc.pre(legs !== null && (platform.drive === 'linear' || legs.every((a) => Math.abs(a) < toRad(55))));
        expect(jacobianInto(platform, pose, legs, J)).toBe(true);
        for (let k = 0; k < 6; k++) {
          const h = k < 3 ? 1e-3 : 1e-5;
          const [plus, minus] = [inverse(platform, moved(pose, k, h))!, inverse(platform, moved(pose, k, -h))!];
          for (let i = 0; i < 6; i++) {
            const rate = (plus[i]! - minus[i]!) / (2 * h);
            expect(Math.abs(J[6 * i + k]! - rate)).toBeLessThan(1e-6 * Math.max(1, Math.abs(rate)));
          }
        }
      }),
      { seed: SEED, numRuns: 100 },
    );
  });
});

test('a crank in line with its rod has no rate: said, not answered', () => {
  // A vertical rod over a vertical crank.
  const leg = { base_mm: [0, 0, 0], moving_mm: [0, 0, 0], azimuth_rad: 0 } as const;
  const platform = crankPlatform({ legs: Array.from({ length: 6 }, () => leg), home_z_mm: 0 });
  const J = new Float64Array(36);
  const straight = new Float64Array(6).fill(Math.PI / 2);
  expect(jacobianInto(platform, [0, 0, 142, 0, 0, 0], straight, J)).toBe(false);
  expect(jacobianInto(platform, [0, 0, NaN, 0, 0, 0], straight, J)).toBe(false);
});
