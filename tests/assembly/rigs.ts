/** Rigs for tests of the controller, built as objects: no file, no parser in between. */
import { legCoordinate } from '../../host/rig/legs.ts';
import type { Joint, Platform, Pose, Rig, Servo } from '../../host/rig/rig.ts';
import { HOME, toRad } from '../../host/rig/rig.ts';

const SERVO: Servo = {
  name: 'test',
  drive: 'rotary',
  stall: null,
  no_load_speed: null,
  stall_current_a: null,
  frame_hz: 50,
  deadband_us: null,
  rotor_inertia_kgm2: null,
  stiffness_nm_rad: null,
  friction_nm: null,
  thermal_tau_s: null,
  continuous_use: 0.5,
  peak_use: 0.8,
  spline_teeth: 25,
  no_pulse: 'unknown',
};

const around = (radius_mm: number, half_deg: number, k: number): [number, number, number] => {
  const azimuth = toRad(120 * (k >> 1) + (k % 2 ? half_deg : -half_deg));
  return [radius_mm * Math.cos(azimuth), radius_mm * Math.sin(azimuth), 0];
};

/** A crank platform on its side (looking forward), or standing; with rod ends or without. */
export function crankPlatform(
  options: { upright?: boolean; rodEnds?: boolean; branch?: 'near' | 'other' } = {},
): Platform {
  return {
    drive: 'crank',
    on: null,
    mounted: true,
    mount: { at_mm: [0, 0, 0], rpy_rad: [0, options.upright ? 0 : Math.PI / 2, 0] },
    legs: [0, 1, 2, 3, 4, 5].map((k) => ({
      base_mm: around(70, 14, k),
      moving_mm: around(55, 46, k),
      azimuth_rad: toRad(120 * (k >> 1) + (k % 2 ? 90 : -90)),
    })),
    crank_mm: 22,
    rod_mm: 120,
    crank_kg: null,
    rod_kg: null,
    branch: options.branch ?? 'near',
    stroke_mm: null,
    rod_end_rad: options.rodEnds === false ? null : toRad(28),
    home_z_mm: 116.25,
    pivot_mm: [0, 0, 40],
    rest: HOME,
  };
}

/** A hexapod of six actuators of 100 to 160 mm. */
export function linearPlatform(): Platform {
  return {
    ...crankPlatform({ upright: true, rodEnds: false }),
    drive: 'linear',
    crank_mm: 0,
    rod_mm: 0,
    stroke_mm: [100, 160],
    home_z_mm: 115,
  };
}

/** Without and with the wobble filter: what every board has to do alike. */
export const SHAPED: readonly (readonly [string, RigOptions])[] = [
  ['no wobble cure', {}],
  ['a wobble cure', { wobble: { cure: 'tolerant', hz: 2.9, damping: 0.03 } }],
];

export interface RigOptions {
  readonly platform?: Platform | null;
  readonly hz?: number;
  readonly poseSpeed?: readonly (number | null)[];
  readonly delay_ms?: number;
  /** A part of the delay; 0 if not given. */
  readonly ahead_ms?: number;
  readonly hold_s?: number;
  readonly restKind?: Rig['rest'];
  readonly stopCategory?: 0 | 1 | 2;
  readonly low_v?: number;
  readonly rest?: Pose;
  readonly wobble?: Rig['motion']['wobble'];
}

/** Six legs when there is a platform, then `nod` (geared, -30 to 25 deg) and `lid` (0 to 55 deg). */
export function rigOf(options: RigOptions = {}): Rig {
  const platform = options.platform === undefined ? crankPlatform() : options.platform;
  const rested = platform && { ...platform, rest: options.rest ?? HOME };
  const base = {
    servo: SERVO,
    sense: 1,
    centre_us: 1500,
    us_per_unit: 10 / toRad(1),
    centre: 0,
    range_us: [600, 2400],
    gear_ratio: 1,
    gear_efficiency: 1,
    walked: null,
    gear_play_rad: null,
    at_mm: null,
    axis: null,
    load: null,
  } as const;
  const leg = (i: number): Joint => {
    const home = (rested && legCoordinate(rested, i, HOME)) ?? NaN;
    const rest = (rested && legCoordinate(rested, i, rested.rest)) ?? NaN;
    const linear = platform?.drive === 'linear';
    return {
      ...base,
      name: `leg${String(i + 1)}`,
      kind: 'leg',
      unit: linear ? 'mm' : 'deg',
      pin: i + 2,
      centre: linear ? 130 : 0,
      us_per_unit: linear ? 10 : base.us_per_unit,
      lo: linear ? 102 : toRad(-60),
      hi: linear ? 158 : toRad(60),
      rest,
      home,
      speed: linear ? 90 : toRad(220),
      plus: linear ? 600 : toRad(1500),
      minus: linear ? 900 : toRad(2200),
      plus_gone: Infinity,
      minus_gone: Infinity,
    };
  };
  const axis = (name: string, pin: number, [lo, hi, rest, speed, accel]: readonly number[], ratio: number): Joint => ({
    ...base,
    name,
    kind: 'axis',
    unit: 'deg',
    pin,
    us_per_unit: base.us_per_unit * ratio,
    gear_ratio: ratio,
    lo: toRad(lo!),
    hi: toRad(hi!),
    rest: toRad(rest!),
    home: 0,
    speed: toRad(speed!),
    plus: toRad(accel!),
    minus: toRad(accel!),
    plus_gone: Infinity,
    minus_gone: Infinity,
  });
  return {
    name: 'test',
    platform: rested,
    parts: [],
    joints: [
      ...(platform ? [0, 1, 2, 3, 4, 5].map(leg) : []),
      axis('nod', 8, [-30, 25, -20, 70, 1500], 3),
      axis('lid', 9, [0, 55, 0, 400, 4000], 1),
    ],
    motion: {
      tick_hz: options.hz ?? 200,
      playback_delay_ms: options.delay_ms ?? 80,
      look_ahead_ms: options.ahead_ms ?? 0,
      pose_speed: options.poseSpeed ?? [null, null, null, null, null, null],
      hold_s: options.hold_s ?? 10,
      wobble: options.wobble ?? { cure: 'none', hz: null, damping: null },
    },
    supply: options.low_v
      ? { kind: 'battery', voltage_v: 7.4, current_a: null, cells: 2, low_v: options.low_v, fuse_a: 10 }
      : null,
    rest: options.restKind ?? 'on_stop',
    audience: 'bench',
    board: {
      kind: 'sim',
      link: 'uart0',
      baud: 500000,
      stop: { pin: 20, category: options.stopCategory ?? 1 },
      power_pin: 21,
    },
    night: null,
    sources: new Map(),
  };
}
