/** Want files for tests, and reading them with the demo's owl. */
import { readFileSync } from 'node:fs';
import { baseText, resolveWant } from '../../../../host/design/want/resolve.ts';
import { readWant } from '../../../../host/design/want/read.ts';
import type { Want } from '../../../../host/design/want/want.ts';
import { readRig } from '../../../../host/rig/read.ts';

/** By its path from the root of the tree, where tests and benches run. */
export const OWL_TEXT = readFileSync('host/demo/night-owl.yaml', 'utf8');

/** The owl's neck, asked for a little of everything. */
export const NECK = `want: owl-neck
from: night-owl.yaml
must:
  roll_deg: 15
  pitch_deg: [-12, 9]
  z_mm: [-8, 4]
  together: 0.5
room: { base_radius_mm: 75, plate_radius_mm: 60, height_mm: 130 }
stock: { crank_mm: [16, 20, 24, 28], rod_mm: { from: 90, to: 160, step: 5 }, rod_end_deg: 28 }
firm: { lowest_hz: 5 }
servos:
  small: { price: 12, stall_torque_nm: 0.9, no_load_speed_deg_s: 430, stall_current_a: 1.4 }
  neck: { price: 20 }
axes:
  nod: { gear_ratio: { from: 2, to: 3 }, counterweight_kg: { from: 0.3, to: 1.2 }, counterweight_at_mm: 190, instead_of: counterweight, servo: [neck] }
better: [travel, use, price, size]
`;

/** Resolved with the rig; its problems where there are any. */
export function resolved(text: string, rigText = OWL_TEXT) {
  const reading = readWant(text, 'want.yaml');
  if (!reading.file) return { want: null, problems: reading.problems };
  const base = baseText(reading.file, rigText) ?? rigText;
  const { rig } = readRig(base, 'night-owl.yaml');
  if (!rig) throw new Error('the rig of this test has errors');
  return resolveWant(reading, { rig, text: base }, null);
}

export function wantOf(text: string, rigText = OWL_TEXT): Want {
  const { want, problems } = resolved(text, rigText);
  if (!want) throw new Error(problems.map(({ path, message }) => `${path}: ${message}`).join('\n'));
  return want;
}
