/** The conventions of one leg, in cases that a pencil can check: carrier's axes, mount, pivot, the two crank angles. */
import { describe, expect, it, test } from 'vitest';
import { inverse, misalignmentInto } from '../../../host/physics/kinematics/inverse.ts';
import { crankAngle, legCoordinate, legVector, movingPoint, rodEndTilts } from '../../../host/rig/legs.ts';
import { HOME, type Platform, type Pose, type Vec3, toRad } from '../../../host/rig/rig.ts';
import { crankPlatform, linearPlatform } from '../physics/platforms.ts';

const QUARTER = toRad(90);
/** The platform on its side: the plate's normal looks forward. */
const ON_ITS_SIDE = { at_mm: [0, 0, 0], rpy_rad: [0, QUARTER, 0] } as const;

/** A platform whose first moving joint is at `point` of the plate, home 100 mm off the base. */
function withPoint(point: Vec3, changes: Partial<Platform>): Platform {
  const platform = linearPlatform({ home_z_mm: 100, ...changes });
  return { ...platform, legs: platform.legs.map((leg) => ({ ...leg, moving_mm: point })) };
}

function expectPoint(found: Vec3, wanted: Vec3): void {
  found.forEach((value, k) => {
    expect(value).toBeCloseTo(wanted[k]!, 12);
  });
}

describe('a pose is told in the carrier’s axes', () => {
  // Base axes of a platform on its side, seen from the carrier: z is forward, y stays left, x points down.
  test.each<[string, Pose, Vec3]>([
    ['x, forward, goes along the base’s normal', [5, 0, 0, 0, 0, 0], [0, 0, 115]],
    ['y goes left', [0, 5, 0, 0, 0, 0], [0, 5, 110]],
    ['z goes up', [0, 0, 5, 0, 0, 0], [-5, 0, 110]],
    ['yaw turns what looks forward to the left', [0, 0, 0, 0, 0, QUARTER], [0, 10, 100]],
    ['positive pitch turns what looks forward down', [0, 0, 0, 0, QUARTER, 0], [10, 0, 100]],
    ['roll leaves what looks forward alone', [0, 0, 0, QUARTER, 0, 0], [0, 0, 110]],
  ])('on its side, %s', (_, pose, wanted) => {
    expectPoint(movingPoint(withPoint([0, 0, 10], { mount: ON_ITS_SIDE }), 0, pose), wanted);
  });

  test('level, yaw turns about the base’s normal', () => {
    expectPoint(movingPoint(withPoint([10, 0, 0], {}), 0, [0, 0, 0, 0, 0, QUARTER]), [0, 10, 100]);
  });

  test('roll first, then pitch, then yaw, about fixed axes', () => {
    // y to z by roll, z to x by pitch, x to y by yaw.
    expectPoint(movingPoint(withPoint([0, 10, 0], {}), 0, [0, 0, 0, QUARTER, QUARTER, QUARTER]), [0, 10, 100]);
  });

  test('where the carrier has the base does not matter to the legs', () => {
    const moved = { mount: { ...ON_ITS_SIDE, at_mm: [30, -7, 55] } } as const;
    const pose: Pose = [1, 2, 3, 0.1, 0.2, 0.3];
    expectPoint(
      movingPoint(withPoint([4, 5, 6], moved), 0, pose),
      movingPoint(withPoint([4, 5, 6], { mount: ON_ITS_SIDE }), 0, pose),
    );
  });
});

describe('the pivot', () => {
  const pivot_mm = [3, -4, 40] as const;

  it('stays where it is while the plate turns', () => {
    for (const mount of [ON_ITS_SIDE, linearPlatform().mount])
      expectPoint(movingPoint(withPoint(pivot_mm, { pivot_mm, mount }), 0, [0, 0, 0, 0.4, -0.3, 0.9]), [3, -4, 140]);
  });

  it('changes nothing at home', () => {
    expectPoint(movingPoint(withPoint([1, 2, 3], { pivot_mm }), 0, HOME), [1, 2, 103]);
  });
});

describe('crank angles', () => {
  // references "pk-crank-ik": both roots in rad, derived there from M sin a + N cos a = K and confirmed by a bracketing root
  // finder to 4.4e-16; no published worked numbers were found.
  test.each<[base: Vec3, azimuth_deg: number, crank: number, rod: number, joint: Vec3, near: number, other: number]>([
    [[0, 0, 0], 0, 24, 120, [15, 3, 118], -0.06790890172936193, 2.956620560802376],
    [[60, 20, 10], 75, 30, 150, [40, 50, 155], -0.08037084038649356, 2.8965702091179937],
    [[-50, 10, 0], -160, 16, 90, [-55, -6, 92], 0.198986212913832, 2.722396621363787],
  ])('crank at %j, azimuth %d deg', (base, azimuth_deg, crank_mm, rod_mm, joint, near, other) => {
    const l: Vec3 = [joint[0] - base[0], joint[1] - base[1], joint[2] - base[2]];
    const angle = (branch: 'near' | 'other') =>
      crankAngle(crankPlatform({ crank_mm, rod_mm, branch }), toRad(azimuth_deg), l);
    expect(angle('near')).toBeCloseTo(near, 12);
    expect(angle('other')).toBeCloseTo(other, 12);
  });

  test('positive lifts the tip: up along z, every leg’s angle grows', () => {
    const platform = crankPlatform();
    platform.legs.forEach((_, i) => {
      expect(legCoordinate(platform, i, [0, 0, 5, 0, 0, 0])!).toBeGreaterThan(legCoordinate(platform, i, HOME)!);
    });
  });

  test('what cannot be reached is null, and so is a joint level with the crank’s axis or below it', () => {
    const platform = crankPlatform({ crank_mm: 20, rod_mm: 100 });
    expect(crankAngle(platform, 0, [0, 0, 130])).toBeNull();
    expect(crankAngle(platform, 0, [100, 0, 0])).toBeNull();
    expect(crankAngle(platform, 0, [20, 0, -100])).toBeNull();
    expect(crankAngle(platform, 0, [20, 0, 100])).toBeCloseTo(0, 12);
    for (const bad of [NaN, Infinity]) expect(crankAngle(platform, 0, [0, 0, bad])).toBeNull();
  });
});

test('an actuator’s coordinate is the distance from pin to pin', () => {
  const platform = linearPlatform();
  const pose: Pose = [4, -3, 2, 0.05, -0.04, 0.1];
  platform.legs.forEach((_, i) => {
    expect(legCoordinate(platform, i, pose)).toBe(Math.hypot(...legVector(platform, i, pose)));
  });
});

test('rod ends tilt here as they do in the physics, which works them out another way', () => {
  const platform = crankPlatform({ mount: ON_ITS_SIDE, pivot_mm: [0, 0, 40] });
  for (const pose of [HOME, [3, 2, -8, 0.05, 0.03, -0.06]] as const) {
    const coordinates = inverse(platform, pose)!;
    const all = new Float64Array(12);
    misalignmentInto(platform, coordinates, pose, all);
    platform.legs.forEach((_, i) => {
      const [crank, plate] = rodEndTilts(platform, i, pose, coordinates[i]!);
      expect(crank).toBeCloseTo(all[2 * i]!, 12);
      expect(plate).toBeCloseTo(all[2 * i + 1]!, 12);
    });
  }
});
