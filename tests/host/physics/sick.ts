/** Axes of invented props that jerk: too much weight or too little servo for the limits they were shipped with. */
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';

export interface SickAxis {
  readonly name: string;
  readonly stall_nm: number;
  readonly no_load_deg_s: number;
  readonly ratio: number;
  readonly efficiency: number;
  readonly mass_kg: number;
  readonly arm_mm: number;
  readonly inertia_kgm2: number;
  readonly rotor_kgm2: number;
  readonly speed_deg_s: number;
  readonly play_deg: number;
}

export const ROTOR_KGM2 = 2e-4;
export const PEAK_USE = 0.8;

const axis = (
  name: string,
  servo: readonly [number, number],
  ratio: number,
  load: readonly [number, number, number],
) => ({
  name,
  stall_nm: servo[0],
  no_load_deg_s: servo[1],
  ratio,
  efficiency: ratio === 1 ? 1 : 0.9,
  mass_kg: load[0],
  arm_mm: load[1],
  inertia_kgm2: load[2],
  rotor_kgm2: ROTOR_KGM2,
});

/** All shipped with plus = minus = 1500 deg/s² over ±30 deg, their load level in the middle. */
export const SICK: readonly SickAxis[] = [
  { ...axis('weak', [0.9, 380], 3, [2, 70, 0.02]), speed_deg_s: 100, play_deg: 0 },
  { ...axis('loose', [1.5, 400], 4, [2.6, 90, 0.04]), speed_deg_s: 70, play_deg: 1.5 },
  { ...axis('hasty', [2, 360], 1, [0.9, 120, 0.02]), speed_deg_s: 250, play_deg: 0 },
];

/** The rig file of such an axis. `more` goes into its joint. */
export const sickYaml = (it: SickAxis, more = ''): string => `rig: ${it.name}
servos:
  tilt:
    stall_torque_nm: ${it.stall_nm}
    no_load_speed_deg_s: ${it.no_load_deg_s}
    stall_current_a: 2
    frame_hz: 50
    centre_us: 1500
    us_per_deg: 8
    range_us: [500, 2500]
    deadband_us: 4
    rotor_inertia_kgm2: { value: ${ROTOR_KGM2}, from: assumed }
    peak_use: ${PEAK_USE}
joints:
  nod:
    servo: tilt
    pin: 8
    gear_ratio: ${it.ratio}
    gear_efficiency: ${it.efficiency}
    gear_play_deg: ${it.play_deg}
    limit_deg: [-30, 30]
    speed_deg_s: ${it.speed_deg_s} # as it was shipped
    accel_deg_s2: { plus: 1500, minus: 1500 }
    load: { mass_kg: ${it.mass_kg}, arm_mm: ${it.arm_mm}, inertia_kgm2: ${it.inertia_kgm2} }
${more}rest: on_stop
`;

/** Parsed; throws when the text is no rig. */
export function rigFrom(text: string): Rig {
  const { rig, problems } = readRig(text);
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
}

export const sickRig = (it: SickAxis, more = ''): Rig => rigFrom(sickYaml(it, more));
