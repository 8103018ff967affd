/**
 * Platforms for the kinematic tests, built as objects so that the rig file's reader is not under test here.
 */
import type { Joint, Leg, Platform, Rig, Servo, Vec3 } from '../../../host/rig/rig.ts';
import { toRad } from '../../../host/rig/rig.ts';

const onCircle = (radius_mm: number, azimuth_deg: number): Vec3 => [
  radius_mm * Math.cos(toRad(azimuth_deg)),
  radius_mm * Math.sin(toRad(azimuth_deg)),
  0,
];

/** Symmetric plates as the rig file describes them; cranks point outward. */
function symmetricLegs(
  base: [radius_mm: number, half_deg: number],
  moving: [radius_mm: number, half_deg: number],
): Leg[] {
  return [0, 1, 2, 3, 4, 5].map((i) => {
    const pair = 120 * Math.floor(i / 2);
    const side = i % 2 === 0 ? -1 : 1;
    return {
      base_mm: onCircle(base[0], pair + side * base[1]),
      moving_mm: onCircle(moving[0], pair + side * moving[1]),
      azimuth_rad: toRad(pair + side * 90),
    };
  });
}

const COMMON = {
  on: null,
  mounted: true,
  mount: { at_mm: [0, 0, 0], rpy_rad: [0, 0, 0] },
  branch: 'near',
  pivot_mm: [0, 0, 0],
  crank_kg: null,
  rod_kg: null,
  rest: [0, 0, 0, 0, 0, 0],
} as const;

/** Crank 22 mm, rod 120 mm, radii 70 and 55 mm; home where all cranks are level. */
export function crankPlatform(changes: Partial<Platform> = {}): Platform {
  const legs = symmetricLegs([70, 14], [55, 46]);
  const { base_mm: b, moving_mm: m, azimuth_rad: a } = legs[0]!;
  const across_mm = Math.hypot(b[0] + 22 * Math.cos(a) - m[0], b[1] + 22 * Math.sin(a) - m[1]);
  return {
    ...COMMON,
    drive: 'crank',
    legs,
    crank_mm: 22,
    rod_mm: 120,
    stroke_mm: null,
    rod_end_rad: toRad(28),
    home_z_mm: Math.sqrt(120 ** 2 - across_mm ** 2),
    ...changes,
  };
}

/** Actuators of 130 to 200 mm pin to pin, radii 90 and 60 mm. */
export function linearPlatform(changes: Partial<Platform> = {}): Platform {
  return {
    ...COMMON,
    drive: 'linear',
    legs: symmetricLegs([90, 14], [60, 46]),
    crank_mm: 0,
    rod_mm: 0,
    stroke_mm: [130, 200],
    rod_end_rad: null,
    home_z_mm: 150,
    ...changes,
  };
}

/** An actuator platform from bare joint points, its pose's origin in the base's. */
export function pointsPlatform(
  base: readonly number[][],
  moving: readonly number[][],
  pivot_mm: Vec3 = [0, 0, 0],
): Platform {
  const point = (p: readonly number[]): Vec3 => [p[0]!, p[1]!, p[2]!];
  const legs = base.map((b, i) => ({ base_mm: point(b), moving_mm: point(moving[i]!), azimuth_rad: 0 }));
  return linearPlatform({ legs, pivot_mm, stroke_mm: [0, 1e6], home_z_mm: 0 });
}

const SERVO: Servo = {
  name: 'neck',
  drive: 'rotary',
  stall: 1.9,
  no_load_speed: 6.6,
  stall_current_a: 2.3,
  frame_hz: 50,
  deadband_us: 4,
  rotor_inertia_kgm2: 0,
  stiffness_nm_rad: null,
  friction_nm: null,
  thermal_tau_s: null,
  continuous_use: 0.5,
  peak_use: 0.8,
  spline_teeth: 25,
  no_pulse: 'unknown',
};

/** A rig of nothing but this platform, its legs limited to lo … hi (rad or mm). */
export function rigOf(platform: Platform, lo: number, hi: number): Rig {
  const leg = (i: number): Joint => ({
    name: `leg${i + 1}`,
    kind: 'leg',
    unit: platform.drive === 'crank' ? 'deg' : 'mm',
    servo: SERVO,
    pin: 2 + i,
    sense: 1,
    centre_us: 1500,
    us_per_unit: 573,
    centre: 0,
    range_us: [600, 2400],
    lo,
    hi,
    rest: 0,
    home: 0,
    speed: 4,
    plus: 26,
    minus: 38,
    plus_gone: Infinity,
    minus_gone: Infinity,
    gear_ratio: 1,
    gear_efficiency: 1,
    walked: null,
    gear_play_rad: null,
    at_mm: null,
    axis: null,
    load: null,
  });
  return {
    name: 'test-rig',
    platform,
    parts: [],
    joints: [0, 1, 2, 3, 4, 5].map(leg),
    motion: {
      tick_hz: 200,
      playback_delay_ms: 80,
      look_ahead_ms: 40,
      pose_speed: [null, null, null, null, null, null],
      hold_s: 10,
      wobble: { cure: 'none', hz: null, damping: null },
    },
    supply: null,
    rest: 'on_stop',
    audience: 'bench',
    board: null,
    night: null,
    sources: new Map(),
  };
}
