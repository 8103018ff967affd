/** Geared axes that jerk as they come: heavier than their limits think. Invented. */
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';

export interface AxisFigures {
  readonly stall_nm: number;
  readonly no_load_deg_s: number;
  readonly ratio: number;
  readonly mass_kg: number;
  readonly arm_mm: number;
  readonly inertia_kgm2: number;
  readonly speed_deg_s: number;
  readonly play_deg?: number;
  readonly accel?: string;
}

const axis = (
  stall_nm: number,
  no_load_deg_s: number,
  ratio: number,
  mass_kg: number,
  arm_mm: number,
  inertia_kgm2: number,
  speed_deg_s: number,
): AxisFigures => ({ stall_nm, no_load_deg_s, ratio, mass_kg, arm_mm, inertia_kgm2, speed_deg_s });

export const SICK: Readonly<Record<string, AxisFigures>> = {
  'a small servo at 3:1': axis(0.9, 380, 3, 2.0, 70, 0.02, 100),
  'a heavy load at 4:1 with play': { ...axis(1.5, 400, 4, 2.6, 90, 0.04, 70), play_deg: 1.5 },
  'a direct drive': axis(2.0, 360, 1, 0.9, 120, 0.02, 250),
};

/** Its file, with comments and an order of its own. */
export function axisText({ accel = '1500', ...it }: AxisFigures): string {
  const play = it.play_deg === undefined ? '' : `    gear_play_deg: ${it.play_deg}\n`;
  return `# As it came from the bench.
rig: sick
servos:
  s:
    stall_torque_nm: ${it.stall_nm}   # at 6.0 V
    no_load_speed_deg_s: ${it.no_load_deg_s}
    frame_hz: 50
    centre_us: 1500
    us_per_deg: 4
    range_us: [600, 2400]
    deadband_us: 4
joints:
  tilt:
    accel_deg_s2: ${accel}     # a guess
    servo: s
    gear_ratio: ${it.ratio}
    gear_efficiency: 1
${play}    limit_deg: [-30, 30]
    speed_deg_s: ${it.speed_deg_s}   # it looked good
    load: { mass_kg: ${it.mass_kg}, arm_mm: ${it.arm_mm},   inertia_kgm2: ${it.inertia_kgm2} }
motion: { tick_hz: 200 }
rest: on_stop
`;
}

export function rigIn(text: string): Rig {
  const { rig, problems } = readRig(text);
  if (!rig) throw new Error(problems.map(({ path, message }) => `${path}: ${message}`).join('\n'));
  return rig;
}

export const axisRig = (figures: AxisFigures): Rig => rigIn(axisText(figures));
