/** A rig file for the tests of the reader, invented, and how to spoil it. */
import { expect } from 'vitest';
import { readRig } from '../../../host/rig/read.ts';
import type { Problem } from '../../../host/rig/problem.ts';
import type { Rig } from '../../../host/rig/rig.ts';

export const OWL = `rig: test-owl
platform:
  drive: crank
  on: nod
  mount: { at_mm: [30, 0, 55], rpy_deg: [0, 90, 0] }
  base: { radius_mm: 70, half_angle_deg: 14 }
  moving: { radius_mm: 55, half_angle_deg: 46 }
  crank_mm: 22
  rod_mm: 120
  crank_azimuth_deg: outward
  rod_end_deg: 28
  home_z_mm: level
  pivot_mm: [0, 0, 40]
  rest: { z_mm: -8 }
  servo: neck
  limit_deg: [-60, 60]
parts:
  - { name: shell, on: moving, mass_kg: 0.62, at_mm: [0, 0, 38], shape: { ellipsoid_shell: { radii_mm: [60, 55, 50] } } }
  - { name: frame, on: nod, mass_kg: { value: 0.9, from: measured, within_percent: 2 }, at_mm: [60, 0, 40] }
servos:
  neck:
    stall_torque_nm: 1.9
    no_load_speed_deg_s: 380
    stall_current_a: 1
    frame_hz: 50
    centre_us: 1500
    us_per_deg: 10
    range_us: [600, 2400]
    stiffness_nm_rad: unknown
  face:
    stall_torque_kgcm: 2.4
    no_load_s_per_60deg: 0.12
    stall_current_a: 0.5
    frame_hz: 50
    centre_us: 1500
    us_per_deg: 10
    range_us: [600, 2400]
joints:
  leg1: { centre_us: 1512, sense: -1 }
  nod:
    servo: neck
    axis: { at_mm: [0, 0, 0], along: [0, -2, 0] }
    gear_ratio: 3
    gear_efficiency: 0.9
    limit_deg: [-30, 25]
    rest_deg: -20
    speed_deg_s: 70
    accel_deg_s2: { plus: 1500, minus: 1200 }
  lid: { servo: face, limit_deg: [5, 55], speed_deg_s: 400, accel_deg_s2: 4000 }
motion:
  tick_hz: 200
  leg: { speed_deg_s: 220, accel_deg_s2: { plus: 1500, minus: 2200 } }
supply: { kind: mains, voltage_v: 6, current_a: 10 }
rest: on_stop
audience: bench
board: { kind: pico, stop: { pin: 20, category: 1 }, power_pin: 21 }
`;

export const LINEAR = `rig: six-sticks
platform:
  drive: linear
  base: { radius_mm: 200, half_angle_deg: 10 }
  moving: { radius_mm: 150, half_angle_deg: 50 }
  stroke_mm: [250, 350]
  home_z_mm: 250
  servo: stick
  limit_mm: [255, 345]
servos:
  stick: { force_n: 90, speed_mm_s: 40, frame_hz: 50, centre_us: 1500, us_per_mm: 8, range_us: [1000, 2000] }
joints:
  leg2: { limit_mm: [260, 340] }
motion: { leg: { speed_mm_s: 30, accel_mm_s2: 200 } }
rest: powered
`;

export const JOINTS_ONLY = `rig: two-lids
servos:
  face: { stall_torque_ozin: 30, no_load_speed_deg_s: 500, frame_hz: 50, centre_us: 1500, us_per_deg: 10, range_us: [600, 2400] }
joints:
  left: { servo: face, limit_deg: [0, 55], speed_deg_s: 400, accel_deg_s2: 4000 }
  right: { servo: face, limit_deg: [-55, -5], speed_deg_s: 400, accel_deg_s2: { plus: 3000, minus: 4000 } }
rest: hanging
`;

/** A text with one passage replaced, which must be there. */
export function swap(text: string, ...changes: (readonly [string, string])[]): string {
  return changes.reduce((now, [from, to]) => {
    if (!now.includes(from)) throw new Error(`no "${from}" in the rig of the test`);
    return now.replace(from, () => to);
  }, text);
}

export function rigOf(text: string): Rig {
  const { rig, problems } = readRig(text);
  if (!rig) throw new Error(JSON.stringify(problems, null, 2));
  return rig;
}

export const lineOf = (text: string, passage: string): number =>
  text.slice(0, text.indexOf(passage)).split('\n').length;

export function problemsOf(text: string): readonly Problem[] {
  const { rig, problems } = readRig(text);
  const errors = problems.filter(({ severity }) => severity === 'error');
  expect(rig === null).toBe(errors.length > 0);
  for (const { message } of problems)
    expect(message).not.toMatch(/^(?!this is not YAML).*(Invalid|Too (small|big)|expected|undefined|NaN\b|\[object)/);
  return problems;
}

/** What is wrong, what to put for what, where it is told, and words of the message. */
export type Case = readonly [what: string, from: string, to: string, path: string, words: RegExp];
