/** A rig as somebody drew it, and the prop as it was built: what the bring-up has to find out. All figures invented. */
import { readRig } from '../../../host/rig/read.ts';
import type { Platform, Rig } from '../../../host/rig/rig.ts';
import { TrueProp } from './true-prop.ts';
import { type ServoTruth, TrueServo } from './true-servo.ts';

/** Lengths in mm; rings by radius and half angle. */
type Geometry = Readonly<Record<'base_mm' | 'base_deg' | 'moving_mm' | 'moving_deg' | 'crank_mm' | 'rod_mm', number>>;

const perchWith = ({ base_mm, base_deg, moving_mm, moving_deg, crank_mm, rod_mm }: Geometry): string => `rig: perch
platform:
  drive: crank
  mount: { at_mm: [0, 0, 0], rpy_deg: [0, 0, 0] }   # on the bench
  base: { radius_mm: ${String(base_mm)}, half_angle_deg: ${String(base_deg)} }
  moving: { radius_mm: ${String(moving_mm)}, half_angle_deg: ${String(moving_deg)} }
  crank_mm: ${String(crank_mm)}                     # as drawn
  rod_mm: ${String(rod_mm)}
  crank_azimuth_deg: outward
  rod_end_deg: 28
  home_z_mm: level
  pivot_mm: [0, 0, 0]
  rest: { z_mm: -4 }
  servo: neck
  limit_deg: [-45, 45]
parts:
  - { name: shell, on: moving, mass_kg: 0.3, at_mm: [0, 0, 20] }
servos:
  neck:
    stall_torque_nm: 1.9
    no_load_speed_deg_s: 380
    stall_current_a: 2.3
    frame_hz: 50
    centre_us: 1500                                 # its sheet's
    us_per_deg: 10
    range_us: [600, 2400]
    rotor_inertia_kgm2: { value: 2.9e-3, from: assumed }
joints:
  leg1: { pin: 2 }
  leg2: { pin: 3 }
  leg3: { pin: 4 }
  leg4: { pin: 5 }
  leg5: { pin: 6 }
  leg6: { pin: 7 }
motion:
  tick_hz: 50
  playback_delay_ms: 120
  look_ahead_ms: 60
  pose_speed: {}
  leg: { speed_deg_s: 220, accel_deg_s2: { plus: 1500, minus: 2200 } }
supply: { kind: mains, voltage_v: 6.0, current_a: 20 }
rest: on_stop
audience: bench
board: { kind: pico, link: uart0, baud: 500000, stop: { pin: 20, category: 1 }, power_pin: 21 }
`;

/** What stands in the rig's file before anybody has seen the prop move. */
export const PERCH = perchWith({ base_mm: 70, base_deg: 14, moving_mm: 55, moving_deg: 46, crank_mm: 22, rod_mm: 120 });

/** The same with the first leg walked. */
export const WALKED = PERCH.replace(
  'leg1: { pin: 2 }',
  'leg1: { pin: 2, limit_deg: [-30, 30], walked_deg: [-30, 30] }',
);

/** What was really built. */
export const BUILT: Geometry = {
  base_mm: 70.8,
  base_deg: 14.6,
  moving_mm: 54.3,
  moving_deg: 45.5,
  crank_mm: 22.6,
  rod_mm: 119.2,
};

/** A rig's text as a rig; a test that gets it wrong stops here. */
export function perchRig(text = PERCH): Rig {
  const { rig, problems } = readRig(text, 'perch.yaml');
  if (!rig) throw new Error(problems.map(({ message }) => message).join('\n'));
  return rig;
}

export function builtPlatform(): Platform {
  return perchRig(perchWith(BUILT)).platform!;
}

type Odd = Pick<ServoTruth, 'neutral_us' | 'us_per_deg' | 'sense' | 'horn_deg' | 'binds_deg' | 'stood_deg'>;

/** Horns a few degrees off and up to two teeth off, half of the senses wrong, scales up to 5 % off, stops at no two the same. */
const ODD: readonly Odd[] = [
  { neutral_us: 1512, us_per_deg: 10.31, sense: -1, horn_deg: 3.3, binds_deg: [-37, 42], stood_deg: -12 },
  { neutral_us: 1489, us_per_deg: 9.72, sense: 1, horn_deg: -5.1, binds_deg: [-39, 60], stood_deg: 3 },
  { neutral_us: 1504, us_per_deg: 10.08, sense: -1, horn_deg: 31.2, binds_deg: [-41, 40], stood_deg: 20 },
  { neutral_us: 1497, us_per_deg: 9.54, sense: 1, horn_deg: 6.4, binds_deg: [-36, 41], stood_deg: -4 },
  { neutral_us: 1521, us_per_deg: 10.47, sense: -1, horn_deg: -16.8, binds_deg: [-44, 38], stood_deg: 0 },
  { neutral_us: 1478, us_per_deg: 9.9, sense: 1, horn_deg: 0.7, binds_deg: [-40, 39], stood_deg: 9 },
];

/** The prop: six servos of 25 teeth, 380 deg/s and 4 us of dead band. first: what is otherwise about the first. */
export function builtProp(first: Partial<ServoTruth> = {}): TrueProp {
  const joints = ODD.map((odd, i) => ({
    name: `leg${String(i + 1)}`,
    pin: i + 2,
    servo: new TrueServo({ ...odd, spline_teeth: 25, dead_us: 4, speed_deg_s: 380, ...(i === 0 ? first : {}) }),
  }));
  return new TrueProp(joints, builtPlatform());
}
