/** What touches is told by reach, where the rig file gives sizes, and not where it does not. */
import { expect, it } from 'vitest';
import { inverse } from '../../../host/physics/kinematics/inverse.ts';
import { roomAt } from '../../../host/physics/kinematics/bodies.ts';
import { touchWords } from '../../../host/reach/bodies.ts';
import { reach } from '../../../host/reach/reach.ts';
import { usualClearance } from '../../../host/rig/clearance.ts';
import { HOME } from '../../../host/rig/rig.ts';
import { OWL, rigOf, swap } from '../rig/owl.ts';

const warningsOf = (text: string): readonly string[] =>
  reach(rigOf(text), { at: HOME, planes: [], box: null, samples: 0, seed: 1, sensitivity: false }).warnings;

it('names the two bodies, how near they come, and where', () => {
  const flat = swap(OWL, [
    '  rod_mm: 120\n',
    '  rod_mm: 120\n  clearance: { servo_body_mm: [40, 20, 38], axes_above_base_mm: 60, gap_mm: 1 }\n',
  ]);
  // Shafts of a pair are 2 · 70 mm · sin 14 deg = 33.9 mm apart, bodies 40 mm long (law of the chord).
  expect(warningsOf(flat).join(' ')).toMatch(
    /leg\d’s servo and leg\d’s servo touch \(6\.1 mm into each other\) where travel begins; gap_mm asks for 1 mm\./,
  );
});

it('tells bodies that come nearer than the gap, and none that keep it', () => {
  const apart = (gap: number): string =>
    warningsOf(
      swap(OWL, [
        '  rod_mm: 120\n',
        `  rod_mm: 120\n  clearance: { servo_body_mm: [32, 20, 38], axes_above_base_mm: 60, gap_mm: ${gap.toFixed(1)} }\n`,
      ]),
    ).join(' ');
  // 33.87 mm less 32.
  expect(apart(2.5)).toMatch(/servo and leg\d’s servo come within 1\.9 mm of each other .*; gap_mm asks for 2\.5 mm\./);
  expect(apart(1.5)).not.toMatch(/servo and leg\d’s servo/);
});

it('looks where each travel ends, its own way', () => {
  const { platform, ...rest } = rigOf(OWL);
  // A thick plate, whose face is 102 mm beneath the rod ends, over small bodies.
  const clearance = {
    servo_body_mm: [10, 10, 10],
    plate_below_studs_mm: 102,
    axes_above_base_mm: 60,
    gap_mm: 90,
  } as const;
  const rig = { ...rest, platform: { ...platform!, clearance } };
  const travels = [{ axis: 0, minus: { by: 9, stop: null }, plus: { by: 3, stop: null } }] as const;
  const pose = [-9, 0, 0, 0, 0, 0] as const;
  // The owl's base stands upright: back along x is down for it.
  const { mm, between } = roomAt(rig.platform, usualClearance(clearance), inverse(rig.platform, pose)!, pose);
  expect(between[1]).toBe('the moving plate');
  // From the servos' tops, 5 mm over their axes, to the face.
  expect(mm).toBeCloseTo(platform!.home_z_mm - 102 - 9 - 5, 9);
  expect(touchWords(rig, HOME, travels).join(' ')).toContain(
    `${between.join(' and ')} come within ${mm.toFixed(1)} mm of each other at -9 mm of x; gap_mm asks for 90 mm.`,
  );
});

it('says nothing of bodies whose sizes the file does not give', () => {
  expect(warningsOf(OWL).join(' ')).not.toMatch(/touch|gap_mm/);
});
