/** A speed limit that the joint's servo does not reach even without load is told, whatever drives the joint. */
import { expect, it } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import { LIFT, OWL, TILT } from '../load/rigs.ts';

const adviceOf = (text: string) =>
  readRig(text)
    .advice.filter(({ path }) => path.includes('speed'))
    .map(({ path, message, severity }) => `${severity} ${path}: ${message}`);

const changed = (text: string, from: string, to: string): string => {
  expect(text).toContain(from);
  return text.replace(from, to);
};

it('actuators: in mm/s, once for all six', () => {
  expect(adviceOf(LIFT)).toEqual([]);
  expect(adviceOf(changed(LIFT, 'speed_mm_s: 15', 'speed_mm_s: 40'))).toEqual([]);
  expect(adviceOf(changed(LIFT, 'speed_mm_s: 15', 'speed_mm_s: 45'))).toEqual([
    'warning motion.leg.speed_mm_s: found 45; ram does 40 mm/s without load, and less with one: "posewright tune" works out how much to allow',
  ]);
});

it('cranks and an axis behind a gear', () => {
  expect(adviceOf(OWL)).toEqual([]);
  expect(adviceOf(TILT)).toEqual([]);
  expect(adviceOf(changed(TILT, 'speed_deg_s: 100', 'speed_deg_s: 121'))).toEqual([
    expect.stringMatching(/^warning joints\.nod\.speed_deg_s: found 121; neck does 120 deg\/s .* behind a gear of 3:1/),
  ]);
});
