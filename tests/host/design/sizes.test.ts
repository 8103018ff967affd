/** How large a design is, by hand. */
import { expect, it } from 'vitest';
import { Evaluation } from '../../../host/design/evaluate/evaluate.ts';
import { prepare } from '../../../host/design/evaluate/prepare.ts';
import { heightOf } from '../../../host/design/evaluate/sizes.ts';
import { AT, FIGURES } from '../../../host/design/figures.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { askOf, demoOwl, randomDesigns } from './candidates.ts';

it.each([
  ['beneath its rod ends', 8, 132],
  ['at its rod ends', 0, 132],
  ['above its rod ends', -5, 137],
])('height: from the base plate to the rod ends, or to a plate that lies higher: %s', (_, below, height) => {
  const clearance = usualClearance({ axes_above_base_mm: 20, plate_below_studs_mm: below });
  expect(heightOf(clearance, 112)).toBe(height);
});

it('the cylinder holds cranks and servo bodies, not the joints alone', () => {
  // Bodies 38 mm long along shafts that point inward, 20 mm along the crank: what is furthest out is a level crank's end, outward.
  const [R, half, crank, home] = [70, toRad(14), 22, 100];
  const design = {
    ...randomDesigns(1, 1)[0]!,
    ...{ base_radius_mm: R, base_half_rad: half, plate_radius_mm: 55, plate_half_rad: toRad(46) },
    ...{ crank_mm: crank, rod_mm: 110, home_z_mm: home, facing: 'outward' as const },
  };
  const volume = (body: readonly [number, number, number], facing: 'outward' | 'inward' = 'outward'): number => {
    const clearance = usualClearance({
      servo_body_mm: body,
      axes_above_base_mm: 20,
      rod_thick_mm: 6,
      horn_thick_mm: 4,
    });
    const out = new Float64Array(FIGURES);
    new Evaluation(prepare(askOf(demoOwl(), { clearance }))).figures({ ...design, facing }, out);
    return out[AT.volume]!;
  };
  const cylinder = (radius: number): number => (Math.PI * radius ** 2 * (20 + home)) / 1000;
  // Law of cosines of the chord: the crank runs square to the pair's middle line, from R·sin(half) beside it.
  const [along, beside] = [R * Math.cos(half), R * Math.sin(half)];
  expect(volume([20, 40, 38])).toBeCloseTo(cylinder(Math.hypot(along, beside + crank)), 6);
  // A body twice 60 mm long reaches further beside the line, at its face: half a rod and a horn further in.
  expect(volume([120, 40, 38])).toBeCloseTo(cylinder(Math.hypot(along - 7, beside + 60)), 6);
  expect(volume([120, 40, 38], 'inward')).toBeCloseTo(cylinder(Math.hypot(along - 7, beside + 60)), 6);
});
