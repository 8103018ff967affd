import fc from 'fast-check';
import { Matrix4, Vector3 } from 'three';
import { describe, expect, test } from 'vitest';
import { inverse, inverseInto, misalignmentInto, whatStops, whatStopsLegs } from '../../../../host/physics/kinematics/inverse.ts';
import { legCoordinate, movingPoint } from '../../../../host/rig/legs.ts';
import { HOME, type Platform, type Pose, toDeg, toRad } from '../../../../host/rig/rig.ts';
import { rpyMatrix } from '../../../../host/rig/rotation.ts';
import { anyMountAndPivot, smallPose } from '../arbitraries.ts';
import { crankPlatform, linearPlatform, rigOf } from '../platforms.ts';

const SEED = 104;

/** A crank's tip in the base frame, from DESIGN's formula alone: B + a(cos α·u + sin α·z). */
function tip(platform: Platform, i: number, angle: number): Vector3 {
  const { base_mm, azimuth_rad } = platform.legs[i]!;
  const out = platform.crank_mm * Math.cos(angle);
  return new Vector3(...base_mm).add(
    new Vector3(out * Math.cos(azimuth_rad), out * Math.sin(azimuth_rad), platform.crank_mm * Math.sin(angle)),
  );
}

/** A leg's moving joint in the base frame, by three: carrier's axes and back, pivot and all. */
function byThree(platform: Platform, i: number, pose: Pose): Vector3 {
  const rotation = (rpy: Parameters<typeof rpyMatrix>[0]): Matrix4 => {
    const m = rpyMatrix(rpy);
    return new Matrix4().set(m[0], m[1], m[2], 0, m[3], m[4], m[5], 0, m[6], m[7], m[8], 0, 0, 0, 0, 1);
  };
  const mount = rotation(platform.mount.rpy_rad);
  const point = new Vector3(...platform.legs[i]!.moving_mm).sub(new Vector3(...platform.pivot_mm));
  point.applyMatrix4(mount).applyMatrix4(rotation([pose[3], pose[4], pose[5]]));
  point.add(new Vector3(pose[0], pose[1], pose[2])).applyMatrix4(mount.clone().transpose());
  return point.add(new Vector3(...platform.pivot_mm)).add(new Vector3(0, 0, platform.home_z_mm));
}

describe.each([
  ['crank', crankPlatform],
  ['linear', linearPlatform],
] as const)('%s platform', (_, build) => {
  test(`rods and actuators keep their lengths in any mount, about any pivot (seed ${SEED})`, () => {
    fc.assert(
      fc.property(anyMountAndPivot, smallPose, (placed, pose) => {
        const platform = build(placed);
        const legs = inverse(platform, pose);
        fc.pre(legs !== null);
        legs.forEach((at, i) => {
          const end = byThree(platform, i, pose);
          const start = platform.drive === 'crank' ? tip(platform, i, at) : new Vector3(...platform.legs[i]!.base_mm);
          const length = platform.drive === 'crank' ? platform.rod_mm : at;
          expect(Math.abs(end.distanceTo(start) - length)).toBeLessThan(1e-9);
        });
      }),
      { seed: SEED, numRuns: 200 },
    );
  });

  test(`agrees with the legs taken one by one (seed ${SEED})`, () => {
    const out = new Float64Array(6);
    fc.assert(
      fc.property(anyMountAndPivot, smallPose, (placed, pose) => {
        const platform = build(placed);
        fc.pre(inverseInto(platform, pose, out));
        out.forEach((at, i) => expect(Math.abs(at - legCoordinate(platform, i, pose)!)).toBeLessThan(1e-11));
      }),
      { seed: SEED, numRuns: 200 },
    );
  });

  test('out of reach, NaN and infinite poses are null, never NaN', () => {
    const platform = build();
    const out = [500, -500, NaN, Infinity, -Infinity, 1e308];
    for (const z of out) expect(inverse(platform, [0, 0, z, 0, 0, 0])).toBeNull();
    for (const yaw of [NaN, Infinity]) expect(inverse(platform, [0, 0, 0, 0, 0, yaw])).toBeNull();
  });
});

test('the symmetric crank platform stands at home with level cranks', () => {
  for (const angle of inverse(crankPlatform(), HOME)!) expect(Math.abs(angle)).toBeLessThan(1e-14);
});

test('a leg that does not reach is marked, the others are answered', () => {
  const out = new Float64Array(6);
  expect(inverseInto(crankPlatform(), [0, 0, 18, 0, toRad(20), 0], out)).toBe(false);
  expect([...out].some(Number.isNaN)).toBe(true);
  expect([...out].some(Number.isFinite)).toBe(true);
});

describe('rod ends', () => {
  const tilts = (platform: Platform, pose: Pose): Float64Array => {
    const out = new Float64Array(12);
    misalignmentInto(platform, inverse(platform, pose)!, pose, out);
    return out;
  };

  test(`tilt by the angle between rod and the plane square to the stud (seed ${SEED})`, () => {
    fc.assert(
      fc.property(anyMountAndPivot, smallPose, (placed, pose) => {
        const platform = crankPlatform(placed);
        const legs = inverse(platform, pose);
        fc.pre(legs !== null);
        const found = tilts(platform, pose);
        legs.forEach((angle, i) => {
          const rod = byThree(platform, i, pose).sub(tip(platform, i, angle));
          const { azimuth_rad, moving_mm } = platform.legs[i]!;
          const stud = new Vector3(-Math.sin(azimuth_rad), Math.cos(azimuth_rad), 0);
          // The stud in the plate: a point one stud further out, moved along with the plate.
          const further = { ...platform.legs[i]!, moving_mm: new Vector3(...moving_mm).add(stud).toArray() };
          const legsThen = platform.legs.map((leg, k) => (k === i ? further : leg));
          const turned = byThree({ ...platform, legs: legsThen }, i, pose).sub(byThree(platform, i, pose));
          const off = (direction: Vector3): number => Math.abs(Math.PI / 2 - rod.angleTo(direction));
          expect(Math.abs(found[2 * i]! - off(stud))).toBeLessThan(1e-7);
          expect(Math.abs(found[2 * i + 1]! - off(turned))).toBeLessThan(1e-7);
        });
      }),
      { seed: SEED, numRuns: 100 },
    );
  });

  test('are the same at both ends while the plate only shifts', () => {
    const found = tilts(crankPlatform(), [5, -3, 2, 0, 0, 0]);
    for (let i = 0; i < 6; i++) expect(Math.abs(found[2 * i]! - found[2 * i + 1]!)).toBeLessThan(1e-12);
  });

  test('a linear platform has none', () => {
    expect(Math.max(...tilts(linearPlatform(), [5, -3, 2, 0.1, 0, 0]))).toBe(0);
  });
});

describe('what stops a pose', () => {
  const wide = toRad(89);

  test('nothing, at home', () => {
    expect(whatStops(rigOf(crankPlatform(), -wide, wide), HOME)).toBeNull();
    expect(whatStops(rigOf(linearPlatform(), 130, 200), HOME)).toBeNull();
  });

  test('the rod comes before everything, and names the lowest leg', () => {
    const rig = rigOf(crankPlatform(), -1e-3, 1e-3);
    expect(whatStops(rig, [0, 0, 100, 0, 0, 0])).toEqual({ joint: 'leg1', cause: 'rod' });
    const legs = new Float64Array(6);
    const tilted: Pose = [0, 0, 18, 0, toRad(20), 0];
    inverseInto(crankPlatform(), tilted, legs);
    const lowest = legs.findIndex(Number.isNaN) + 1;
    expect(whatStops(rig, tilted)).toEqual({ joint: `leg${lowest}`, cause: 'rod' });
  });

  test('the stroke of an actuator', () => {
    const rig = rigOf(linearPlatform(), 0, 1000);
    expect(whatStops(rig, [0, 0, 60, 0, 0, 0])).toEqual({ joint: 'leg1', cause: 'stroke' });
    expect(whatStops(rig, [0, 0, -60, 0, 0, 0])).toEqual({ joint: 'leg1', cause: 'stroke' });
  });

  test('a soft limit comes before a rod end; the limit itself still belongs', () => {
    const platform = crankPlatform({ rod_end_rad: 0.01 });
    const pose: Pose = [0, 0, 5, 0, 0, 0];
    const at = inverse(platform, pose)!;
    const [least, most] = [Math.min(...at), Math.max(...at)];
    expect(whatStops(rigOf(platform, -1, least - 1e-9), pose)).toEqual({ joint: 'leg1', cause: 'limit' });
    expect(whatStops(rigOf(platform, -1, most), pose)).toEqual({ joint: 'leg1', cause: 'rod_end' });
    const free = crankPlatform({ rod_end_rad: null });
    expect(whatStops(rigOf(free, -1, most), pose)).toBeNull();
  });

  test('rod ends: just enough does, a little less does not', () => {
    const pose: Pose = [8, 0, 0, 0, 0, 0];
    const tilts = new Float64Array(12);
    misalignmentInto(crankPlatform(), inverse(crankPlatform(), pose)!, pose, tilts);
    const worst = Math.max(...tilts);
    const leg = (tilts.findIndex((tilt) => tilt > worst - 1e-9) >> 1) + 1;
    const stop = (rod_end_rad: number) => whatStops(rigOf(crankPlatform({ rod_end_rad }), -wide, wide), pose);
    expect(stop(worst)).toBeNull();
    expect(stop(worst - 1e-9)).toEqual({ joint: `leg${leg}`, cause: 'rod_end' });
  });

  test('legs that stand somewhere are judged where they stand, also beyond the inverse’s branch', () => {
    const platform = crankPlatform({ rod_end_rad: null });
    const legs = inverse({ ...platform, branch: 'other' }, HOME)!;
    expect(toDeg(legs[0]!)).toBeGreaterThan(90);
    expect(whatStopsLegs(rigOf(platform, -wide, wide), legs, HOME)).toEqual({ joint: 'leg1', cause: 'limit' });
    expect(whatStopsLegs(rigOf(platform, -wide, 4), legs, HOME)).toBeNull();
    expect(whatStopsLegs(rigOf(platform, -wide, 4), [0, 0, NaN, 0, 0, 0], HOME)).toEqual({
      joint: 'leg3',
      cause: 'limit',
    });
  });
});

test('the base frame of the carrier’s axes is that of legs.ts', () => {
  const platform = crankPlatform({ mount: { at_mm: [0, 0, 0], rpy_rad: [0.4, 1.2, -0.7] }, pivot_mm: [3, 4, 5] });
  const pose: Pose = [1, 2, 3, 0.1, 0.2, 0.3];
  for (let i = 0; i < 6; i++)
    expect(byThree(platform, i, pose).distanceTo(new Vector3(...movingPoint(platform, i, pose)))).toBeLessThan(1e-11);
});
