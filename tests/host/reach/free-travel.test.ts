/** How much of a travel bodies leave free: by a place that is known in closed form, and against many looks on the way. */
import { expect, it } from 'vitest';
import { roomAt } from '../../../host/physics/kinematics/bodies.ts';
import { inverse } from '../../../host/physics/kinematics/inverse.ts';
import { poseAt, travelAlong } from '../../../host/physics/kinematics/travel.ts';
import { AXES, unitAlong } from '../../../host/reach/axes.ts';
import { freeAlong } from '../../../host/reach/free-travel.ts';
import { reach } from '../../../host/reach/reach.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';
import { HOME, type Rig } from '../../../host/rig/rig.ts';
import { OWL, rigOf, swap } from '../rig/owl.ts';

const GIVEN = { servo_body_mm: [10, 10, 10], axes_above_base_mm: 20, gap_mm: 4 } as const;
const withBodies = (text: string): string =>
  swap(text, [
    '  rod_mm: 120\n',
    '  rod_mm: 120\n  clearance: { servo_body_mm: [10, 10, 10], axes_above_base_mm: 20, gap_mm: 4 }\n',
  ]);

/**
 * How far the owl's plate goes straight to its base until its cranks' ends, half a rod of 3 mm thick, are 4 mm over the base plate,
 * 20 mm beneath their axes: they hang 13 mm down. All rods are alike then: from the tip to the moving joint it is
 * across² + up² = rod².
 */
function downInClosedForm({ platform }: Rig): number {
  const { legs, crank_mm, rod_mm, home_z_mm } = platform!;
  const sunk = 20 - 3 - 4;
  const out = Math.sqrt(crank_mm ** 2 - sunk ** 2);
  const { base_mm, moving_mm, azimuth_rad } = legs[0]!;
  const across = [Math.cos(azimuth_rad), Math.sin(azimuth_rad)].map(
    (way, k) => moving_mm[k]! - base_mm[k]! - out * way,
  );
  return home_z_mm - (Math.sqrt(rod_mm ** 2 - Math.hypot(...across) ** 2) - sunk);
}

it('ends where the cranks come near the base plate, a place known by Pythagoras', () => {
  const rig = rigOf(withBodies(OWL));
  // The owl's base stands upright: back along x is down for it.
  const most = travelAlong(rig, HOME, 0, -1).by;
  const known = downInClosedForm(rig);
  expect(known).toBeGreaterThan(5);
  expect(known).toBeLessThan(most - 2);
  const { by, between } = freeAlong(rig.platform!, usualClearance(GIVEN), { from: HOME, axis: 0, sign: -1, most });
  expect(between?.join(' and ')).toMatch(/^leg\d’s crank and the base plate$/);
  expect(by).toBeLessThanOrEqual(known);
  expect(by).toBeGreaterThan(known - 1e-5 * most - 1e-9);
  // Told to a tenth, never beyond.
  const { warnings } = reach(rig, { at: HOME, planes: [], box: null, samples: 0, seed: 1, sensitivity: false });
  const told = /no two bodies come nearer than gap_mm ends at -([\d.]+) mm of x/.exec(warnings.join(' '));
  expect(Number(told?.[1])).toBeCloseTo(Math.floor(10 * known) / 10, 9);
});

it('finds the first of all places that 400 looks on the way find, and calls a way free where they find none', () => {
  const { platform, ...rest } = rigOf(withBodies(OWL));
  let cut = 0;
  for (const gap_mm of [1, 3, 5, 7, 9]) {
    const clearance = usualClearance({ ...GIVEN, servo_body_mm: [20, 30, 30], gap_mm });
    const rig = { ...rest, platform: platform! };
    for (const axis of AXES)
      for (const sign of [-1, 1] as const) {
        const most = travelAlong(rig, HOME, axis, sign).by;
        const isTight = (by: number): boolean => {
          const pose = poseAt(HOME, unitAlong(axis, sign), by);
          return roomAt(platform!, clearance, inverse(platform!, pose)!, pose).mm < gap_mm;
        };
        const looks = Array.from({ length: 401 }, (_, n) => (most * n) / 400);
        const first = looks.findIndex(isTight);
        const { by, between } = freeAlong(platform!, clearance, { from: HOME, axis, sign, most });
        expect(between !== null).toBe(first >= 0);
        expect(by).toBeLessThanOrEqual(first < 0 ? most : looks[first]!);
        if (first > 0) {
          expect(by).toBeGreaterThan(looks[first - 1]! - 1e-5 * most);
          expect(isTight(by)).toBe(false);
          cut++;
        }
      }
  }
  expect(cut).toBeGreaterThan(20);
});
