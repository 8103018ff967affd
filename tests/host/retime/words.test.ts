/** A figure beside its limit, and what is not known. */
import { expect, test } from 'vitest';
import { ALLOWED } from '../../../host/retime/ticks.ts';
import { besideLimit, canItFollow, usedWords } from '../../../host/retime/words.ts';
import { csv, retimed, rigOf } from './rigs.ts';

test('what counts as at its limit is shown at it, and what is above it as it is', () => {
  expect(besideLimit(2199.2, 2200)).toBe(2199.2);
  expect(besideLimit(2200.9, 2200)).toBe(2200);
  expect(besideLimit(2200 * ALLOWED + 0.1, 2200)).toBe(2200 * ALLOWED + 0.1);
  expect(besideLimit(NaN, 2200)).toBeNaN();
});

/** Two joints, of which the servo of one is not known. */
const HALF_KNOWN = `rig: tail
servos:
  s: { stall_torque_nm: 1, no_load_speed_deg_s: 900, frame_hz: 50, us_per_deg: 10, range_us: [600, 2400], centre_us: 1500 }
  u: { stall_torque_nm: unknown, no_load_speed_deg_s: 900, frame_hz: 50, us_per_deg: 10, range_us: [600, 2400], centre_us: 1500 }
joints:
  tail: { servo: s, pin: 2, limit_deg: [-50, 50], speed_deg_s: 100, accel_deg_s2: 1000, load: { mass_kg: 0.1, arm_mm: 30, inertia_kgm2: 0.0002 } }
  fin: { servo: u, pin: 3, limit_deg: [-50, 50], speed_deg_s: 100, accel_deg_s2: 1000, load: { mass_kg: 0.1, arm_mm: 30, inertia_kgm2: 0.0002 } }
rest: on_stop
audience: bench
`;

test('a yes speaks of torque only where what the servos give is known', async () => {
  const sway = csv(2, 50, { tail_deg: (t_s) => 5 * Math.sin(t_s) });
  const known = await retimed(rigOf(HALF_KNOWN.replaceAll('unknown', '1')), sway);
  expect(canItFollow(known.answer).because).toBe(
    'every joint stays within its speed, acceleration and torque limits at every tick',
  );
  const { answer } = await retimed(rigOf(HALF_KNOWN), sway);
  expect(canItFollow(answer)).toMatchObject({
    word: 'yes',
    because:
      'every joint stays within its speed and acceleration limits at every tick; what share the servo of fin uses of its torque is unknown',
  });
  expect(answer.joints.map((joint) => usedWords(joint) !== null)).toEqual([true, false]);
});
