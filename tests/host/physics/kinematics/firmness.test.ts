import { expect, test } from 'vitest';
import { firmnessAt, plateRadius } from '../../../../host/physics/kinematics/firmness.ts';
import { HOME, type Pose, toRad } from '../../../../host/rig/rig.ts';
import values from '../../../published/values/parallel-kinematics.json' with { type: 'json' };
import { crankPlatform, pointsPlatform } from '../platforms.ts';

const corner = (side: number, deg: number): number[] => [
  (side / Math.sqrt(3)) * Math.cos(toRad(deg)),
  (side / Math.sqrt(3)) * Math.sin(toRad(deg)),
  0,
];
const octahedron = (a: number, b: number) =>
  pointsPlatform(
    [0, 120, 120, 240, 240, 360].map((deg) => corner(b, deg)),
    [60, 60, 180, 180, 300, 300].map((deg) => corner(a, deg)),
  );

test('the radius of a symmetric plate is its radius, wherever its origin lies', () => {
  expect(plateRadius(crankPlatform())).toBeCloseTo(55, 12);
  const legs = crankPlatform().legs.map((leg) => ({
    ...leg,
    moving_mm: [leg.moving_mm[0] + 9, leg.moving_mm[1] - 4, 7] as const,
  }));
  expect(plateRadius(crankPlatform({ legs }))).toBeCloseTo(55, 12);
});

test('is the same in metres as in millimetres, and in any mount, for the same motion', () => {
  const large = crankPlatform({
    legs: crankPlatform().legs.map((leg) => ({
      ...leg,
      base_mm: leg.base_mm.map((v) => v * 8) as never,
      moving_mm: leg.moving_mm.map((v) => v * 8) as never,
    })),
    crank_mm: 22 * 8,
    rod_mm: 120 * 8,
    home_z_mm: crankPlatform().home_z_mm * 8,
  });
  const condition = firmnessAt(crankPlatform(), HOME)!.condition!;
  expect(firmnessAt(large, HOME)!.condition).toBeCloseTo(condition, 9);
  const turned = crankPlatform({ mount: { at_mm: [0, 0, 0], rpy_rad: [0.3, 1.1, -2] } });
  expect(firmnessAt(turned, HOME)!.condition).toBeCloseTo(condition, 9);
});

test('of an octahedral platform (Lee, Duffy & Hunt 1998): its determinant is the product of the singular values', () => {
  // The published determinant is with unit lines and moments in the side's unit; ours has lengths over the plate's radius.
  const { inputs, derived } = values['pk-octahedral-det'];
  inputs['a,b,h'].forEach(([a, b, h], i) => {
    const platform = octahedron(a!, b!);
    const { sizes, least, most, side, condition } = firmnessAt(platform, [0, 0, h!, 0, 0, 0])!;
    const product = sizes.reduce((all, size) => all * size, 1);
    expect(product / (derived.det[i]! * plateRadius(platform) ** 3)).toBeCloseTo(1, 10);
    expect([sizes[0], sizes[5]]).toEqual([most, least]);
    expect(condition).toBeCloseTo(most / least, 12);
    expect(Math.abs(side)).toBe(1);
  });
});

test('singular poses: yaw by 90 degrees (Fichter 1986) and similar hexagons (Ma & Angeles 1991) have no condition', () => {
  const { inputs } = values['pk-fichter-yaw90'];
  const fichter = pointsPlatform(inputs.base, inputs.platform);
  const at = (yaw: number): Pose => [0, 0, inputs.z, 0, 0, yaw];
  expect(firmnessAt(fichter, at(Math.PI / 2))!.condition).toBeNull();
  expect(firmnessAt(fichter, at(0))!.condition).toBeLessThan(20);
  expect(firmnessAt(fichter, at(toRad(91)))!.side).toBe(-firmnessAt(fichter, at(toRad(89)))!.side);
  const { base_conic } = values['pk-architecture-singularity'].inputs;
  const similar = pointsPlatform(
    base_conic,
    base_conic.map((p) => p.map((v) => v / 2)),
  );
  expect(firmnessAt(similar, [0.1, 0, 1.2, 0.1, 0.2, 0.3])!.condition).toBeNull();
});

test('shares of what it is held against least sum to 1, and are those of the loose motion', () => {
  const { inputs } = values['pk-fichter-yaw90'];
  const { weakest } = firmnessAt(pointsPlatform(inputs.base, inputs.platform), [0, 0, inputs.z, 0, 0, Math.PI / 2])!;
  expect(weakest.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9);
  // By symmetry the loose motion is a screw about z.
  expect(weakest[2]! + weakest[5]!).toBeCloseTo(1, 9);
});

test('null out of reach, and where a crank stands in line with its rod', () => {
  expect(firmnessAt(crankPlatform(), [0, 0, 90, 0, 0, 0])).toBeNull();
  const leg = { base_mm: [0, 0, 0], moving_mm: [0, 0, 0], azimuth_rad: 0 } as const;
  const straight = crankPlatform({ legs: Array.from({ length: 6 }, () => leg), home_z_mm: 142 });
  expect(firmnessAt(straight, HOME)).toBeNull();
});
