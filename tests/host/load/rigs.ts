/** Rig files for the tests of load, invented; and streams made of functions. */
import { readRig } from '../../../host/rig/read.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import { toRad } from '../../../host/rig/rig.ts';
import { StoredStream } from '../../../host/stream/stored.ts';
import { OWL } from '../rig/owl.ts';

/** 0.9 kg, 50 mm in front of an axis behind 3:1 of efficiency 0.9; a lid with a load of its own. */
export const TILT = `rig: test-tilt
servos:
  neck:
    stall_torque_nm: 1.5
    no_load_speed_deg_s: 360
    stall_current_a: 2
    frame_hz: 50
    centre_us: 1500
    us_per_deg: 10
    range_us: [600, 2400]
    rotor_inertia_kgm2: 2.0e-4
    continuous_use: 0.5
    peak_use: 0.8
parts:
  - { name: head, on: nod, mass_kg: 0.9, at_mm: [50, 0, 0], inertia_kgmm2: [600, 600, 600] }
joints:
  nod:
    servo: neck
    axis: { at_mm: [0, 0, 0], along: [0, -1, 0] }
    gear_ratio: 3
    gear_efficiency: 0.9
    limit_deg: [-25, 25]
    speed_deg_s: 100
    accel_deg_s2: 1500
  lid: { servo: neck, limit_deg: [0, 55], speed_deg_s: 300, accel_deg_s2: 4000, load: { mass_kg: 0.05, arm_mm: 30, arm_level_at_deg: 20, inertia_kgm2: 4.0e-5 } }
motion: { tick_hz: 200 }
supply: { kind: mains, voltage_v: 6, current_a: 10 }
rest: hanging
`;

/** Six actuators under a weight. */
export const LIFT = `rig: test-lift
platform:
  drive: linear
  base: { radius_mm: 90, half_angle_deg: 14 }
  moving: { radius_mm: 60, half_angle_deg: 46 }
  stroke_mm: [130, 200]
  home_z_mm: 150
  servo: ram
  limit_mm: [150, 170]
parts:
  - { name: weight, on: moving, mass_kg: 3, at_mm: [0, 0, 50], shape: { box: { size_mm: [90, 90, 90] } } }
servos:
  ram: { force_n: 60, speed_mm_s: 40, stall_current_a: 1, frame_hz: 50, centre_us: 1500, us_per_mm: 14, range_us: [1000, 2000] }
motion:
  tick_hz: 200
  leg: { speed_mm_s: 15, accel_mm_s2: 100 }
rest: on_stop
`;

/** A rig file changed here and there; each passage must be in it. */
export function rigFrom(text: string, ...changes: readonly (readonly [from: string, to: string])[]): Rig {
  const changed = changes.reduce((now, [from, to]) => {
    if (!now.includes(from)) throw new Error(`not in the file: ${from}`);
    return now.replace(from, () => to);
  }, text);
  const { rig, problems } = readRig(changed);
  if (!rig) throw new Error(JSON.stringify(problems));
  return rig;
}

export { OWL };

/** A stream at 200 frames a second; joints in deg. NaN leaves a joint alone. */
export function streamOf(
  rig: Rig,
  seconds: number,
  at: (t_s: number) => { pose?: readonly number[]; joints?: readonly number[] },
): StoredStream {
  const count = rig.joints.filter(({ kind }) => kind === 'axis').length;
  const stream = new StoredStream(count);
  for (let k = 0; k <= seconds * 200; k++) {
    const { pose = [0, 0, 0, 0, 0, 0], joints = [] } = at(k / 200);
    const all = Array.from({ length: count }, (_, i) => toRad(joints[i] ?? NaN));
    stream.push({ t_s: k / 200, pose: pose.map((value, i) => (i < 3 ? value : toRad(value))), joints: all });
  }
  return stream;
}
