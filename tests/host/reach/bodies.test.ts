/** What touches is told by reach, where the rig file gives sizes, and not where it does not. */
import { expect, it } from 'vitest';
import { reach } from '../../../host/reach/reach.ts';
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

it('says nothing of bodies whose sizes the file does not give', () => {
  expect(warningsOf(OWL).join(' ')).not.toMatch(/touch|gap_mm/);
});
