/**
 * An invented owl and invented replays of it for the report's tests: a calm one within every limit, and a rough one that
 * asks for too much. Joint motion is inverse kinematics of the poses; nothing here ran a controller.
 */
import { inverse, whatStops } from '../../../host/physics/kinematics/inverse.ts';
import { poseDistance } from '../../../host/physics/kinematics/pose-distance.ts';
import { Envelope } from '../../../host/replay/envelope.ts';
import { Distribution } from '../../../host/replay/histogram.ts';
import type { Answer, Instant, JointAnswer, JointTrace, Replay } from '../../../host/replay/result.ts';
import { HOME, POSE_KEYS, toDeg, toRad, toShown } from '../../../host/rig/rig.ts';
import type { Joint, Leg, Platform, Pose, Rig, Servo, Vec3 } from '../../../host/rig/rig.ts';

const servo: Servo = {
  name: 'neck',
  drive: 'rotary',
  stall: 1.9,
  no_load_speed: toRad(380),
  stall_current_a: 2.3,
  frame_hz: 50,
  deadband_us: 4,
  rotor_inertia_kgm2: 2e-4,
  stiffness_nm_rad: null,
  friction_nm: null,
  thermal_tau_s: null,
  continuous_use: 0.5,
  peak_use: 0.8,
  spline_teeth: 25,
  no_pulse: 'unknown',
};

const polar = (radius_mm: number, azimuth_deg: number): Vec3 => [
  radius_mm * Math.cos(toRad(azimuth_deg)),
  radius_mm * Math.sin(toRad(azimuth_deg)),
  0,
];

const CRANK_MM = 22;
const ROD_MM = 120;

function leg(i: number): Leg {
  const pair_deg = 120 * Math.floor(i / 2);
  const side = i % 2 === 0 ? -1 : 1;
  return {
    base_mm: polar(70, pair_deg + side * 14),
    moving_mm: polar(55, pair_deg + side * 46),
    azimuth_rad: toRad(pair_deg + side * 90),
  };
}

const legs = Array.from({ length: 6 }, (_, i) => leg(i));

/** Height at which every crank lies level: all legs are mirror images of the first. */
function levelHeight({ base_mm: b, moving_mm: m, azimuth_rad: u }: Leg): number {
  return Math.sqrt(
    ROD_MM ** 2 - (m[0] - b[0] - CRANK_MM * Math.cos(u)) ** 2 - (m[1] - b[1] - CRANK_MM * Math.sin(u)) ** 2,
  );
}

const platform: Platform = {
  drive: 'crank',
  on: 'nod',
  mounted: true,
  mount: { at_mm: [30, 0, 55], rpy_rad: [0, toRad(90), 0] },
  legs,
  crank_mm: CRANK_MM,
  rod_mm: ROD_MM,
  crank_kg: null,
  rod_kg: null,
  branch: 'near',
  stroke_mm: null,
  rod_end_rad: toRad(28),
  home_z_mm: levelHeight(leg(0)),
  pivot_mm: [0, 0, 40],
  rest: [-8, 0, 0, 0, 0, 0],
};

const deg = { lo: toRad(-60), hi: toRad(60), speed: toRad(220), plus: toRad(1500), minus: toRad(2200) };

const joint = (name: string, pin: number, more: Partial<Joint>): Joint => ({
  name,
  kind: 'axis',
  unit: 'deg',
  servo,
  pin,
  sense: 1,
  centre_us: 1500,
  us_per_unit: toDeg(10),
  centre: 0,
  range_us: [600, 2400],
  ...deg,
  plus_gone: Infinity,
  minus_gone: Infinity,
  rest: 0,
  home: 0,
  gear_ratio: 1,
  gear_efficiency: 1,
  walked: null,
  gear_play_rad: null,
  at_mm: null,
  axis: null,
  load: null,
  ...more,
});

const face = { lo: 0, hi: toRad(55), speed: toRad(400), plus: toRad(4000), minus: toRad(4000) };

/** Ten joints: six legs, the nod that carries the platform, and three of the face. */
export const rig: Rig = {
  name: 'night-owl',
  platform,
  parts: [
    part('shell', 'moving', 0.62, [0, 0, 38], { kind: 'ellipsoid_shell', radii_mm: [60, 55, 50] }),
    part('beak', 'moving', 0.11, [12, 0, 94], { kind: 'cylinder', radius_mm: 9, length_mm: 26, along: [0.4, 0, 1] }),
    part('ears', 'moving', 0.04, [-62, 0, 30], null),
    part('frame', 'nod', 0.9, [10, 0, 40], { kind: 'box', size_mm: [30, 90, 70] }),
  ],
  joints: [
    ...legs.map((_, i) => joint(`leg${String(i + 1)}`, 2 + i, { kind: 'leg' })),
    joint('nod', 8, {
      ...{ lo: toRad(-30), hi: toRad(25), speed: toRad(70), rest: toRad(-20), gear_ratio: 3 },
      axis: { on: null, at_mm: [0, 0, 0], along: [0, -1, 0] },
    }),
    joint('lid', 9, face),
    joint('beak-hinge', 10, face),
    joint('brow', 11, { ...face, lo: toRad(-20), hi: toRad(20) }),
  ],
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
  sources: new Map([
    ['servos.neck.rotor_inertia_kgm2', { from: 'assumed', within_percent: null }],
    ['servos.neck.stiffness_nm_rad', { from: 'unknown', within_percent: null }],
    ['parts.shell.mass_kg', { from: 'measured', within_percent: 2 }],
  ]),
};

function part(
  name: string,
  on: string,
  mass_kg: number,
  at_mm: Vec3,
  shape: Rig['parts'][number]['shape'],
): Rig['parts'][number] {
  return { name, on, mass_kg, at_mm, shape, inertia_kgmm2: null, fitted: false };
}

const wave = (t: number, hz: number, phase = 0): number => Math.sin(2 * Math.PI * hz * t + phase);

/** What the stream asks at t: pose in mm and rad, then nod, lid, beak-hinge, brow in rad. */
function asks(t: number, size: number): { readonly pose: Pose; readonly others: readonly number[] } {
  const swell = Math.max(0, Math.min(1, t / 2, (SECONDS - t) / 2));
  const k = size * swell * swell * (3 - 2 * swell);
  const pose: Pose = [
    4 * k * wave(t, 0.23),
    3 * k * wave(t, 0.31, 1) - 3 * k * wave(0, 0.31, 1),
    3 * k * wave(t, 0.4),
    toRad(5 * k * wave(t, 0.37)),
    toRad(6 * k * wave(t, 0.29) + 2 * k * wave(t, 1.1)),
    toRad(9 * k * wave(t, 0.19)),
  ];
  const blink = Math.exp(-(((t % 3.1) - 1.6) ** 2) / 0.035);
  const others = [
    toRad(6 * k * wave(t, 0.47)),
    toRad(44 * blink),
    toRad(8 + 8 * wave(t, 2.2)),
    toRad(8 * k * wave(t, 0.6)),
  ];
  return { pose, others };
}

const SECONDS = 12;
const HZ = 200;

const scaled = (pose: Pose, k: number): Pose => pose.map((v) => v * k) as unknown as Pose;

/** Share of the asked pose at which nothing stops the platform (bisection), a little inside. */
function share(pose: Pose): number {
  if (!whatStops(rig, pose)) return 1;
  let [lo, hi] = [0, 1];
  for (let i = 0; i < 12; i++) {
    const k = (lo + hi) / 2;
    if (whatStops(rig, scaled(pose, k))) hi = k;
    else lo = k;
  }
  return lo * 0.98;
}

/** The shares of all ticks, each a mean of the least ones around it, so that they change smoothly and stay in reach. */
function smoothShares(size: number): readonly number[] {
  const raw = Array.from({ length: SECONDS * HZ }, (_, tick) => share(asks(tick / HZ, size).pose));
  const around = (values: readonly number[], i: number): number[] => values.slice(Math.max(0, i - 30), i + 31);
  const least = raw.map((_, i) => Math.min(...raw.slice(Math.max(0, i - 60), i + 61)));
  const mean = (values: readonly number[]): number[] =>
    values.map((_, i) => around(values, i).reduce((a, b) => a + b, 0) / around(values, i).length);
  return mean(mean(least));
}

/** The value, at most `by` away from `around`. */
const clamp = (value: number, by: number, around = 0): number => Math.max(around - by, Math.min(around + by, value));

/** Size 0.7 is calm, 1.7 asks for poses out of reach. */
export function replayOf(size: number, overrides: Partial<Answer> = {}): Replay {
  const traces = rig.joints.map(() => ({
    asked: new Envelope(),
    delivered: new Envelope(),
    speed: new Envelope(),
    accel: new Envelope(),
  }));
  const poses = POSE_KEYS.map(() => ({ asked: new Envelope(), delivered: new Envelope() }));
  const peaks = rig.joints.map(() => ({
    min: Infinity,
    max: -Infinity,
    speed: 0,
    plus: 0,
    minus: 0,
    held: 0,
    error: 0,
    at: 0,
  }));
  const latency = new Distribution();
  const stops = new Map<string, number>();
  let before = rig.joints.map(({ home }) => home);
  const speeds = rig.joints.map(() => 0);
  let unreachable = 0;
  let nod = 0;
  let nodStep = 0;
  let path = { peak_mm: 0, peak_deg: 0, at_s: 0, score: -1 };
  let worst: Instant | null = null;
  const shares = smoothShares(size);
  for (let tick = 0; tick < SECONDS * HZ; tick++) {
    const t = tick / HZ;
    const { pose, others } = asks(t, size);
    const stop = whatStops(rig, pose);
    if (stop) unreachable++;
    if (stop) stops.set(`${stop.joint} ${stop.cause}`, (stops.get(`${stop.joint} ${stop.cause}`) ?? 0) + 1);
    const delivered = scaled(pose, shares[tick] ?? 1);
    const wanted = others[0] ?? 0;
    const step = clamp(clamp(wanted - nod, toRad(22) / HZ), toRad(1400) / HZ ** 2, nodStep);
    if (Math.abs(wanted - nod - step) > 1e-9) peaks[6]!.held++;
    nodStep = step;
    nod += step;
    const asked = [...(stop ? Array<number>(6).fill(NaN) : inverse(platform, pose)!), ...others];
    const now = [...inverse(platform, delivered)!, nod, ...others.slice(1)];
    rig.joints.forEach((j, i) => {
      const [peak, trace] = [peaks[i]!, traces[i]!];
      const speed = tick < 1 ? 0 : (now[i]! - before[i]!) * HZ;
      const accel = tick < 2 ? 0 : (speed - speeds[i]!) * HZ;
      const shown = (value: number): number => toShown(j, value);
      peak.min = Math.min(peak.min, shown(now[i]!));
      peak.max = Math.max(peak.max, shown(now[i]!));
      peak.speed = Math.max(peak.speed, Math.abs(shown(speed)));
      peak.plus = Math.max(peak.plus, shown(accel));
      peak.minus = Math.max(peak.minus, -shown(accel));
      const error = Math.abs(shown(asked[i]! - now[i]!));
      if (error > peak.error) [peak.error, peak.at] = [error, t];
      trace.asked.add(t, shown(asked[i]!));
      trace.delivered.add(t, shown(now[i]!));
      trace.speed.add(t, shown(speed));
      trace.accel.add(t, shown(accel));
      speeds[i] = speed;
    });
    before = now;
    poses.forEach((p, i) => {
      const scale = i < 3 ? 1 : toDeg(1);
      p.asked.add(t, pose[i]! * scale);
      p.delivered.add(t, delivered[i]! * scale);
    });
    latency.add(2 + 1.5 * Math.abs(wave(t, 7.3)) + (tick % 97 === 0 ? 6 : 0));
    const { mm, rad } = poseDistance(pose, delivered);
    const score = Math.max(mm, toDeg(rad)) + toDeg(Math.abs(wanted - nod)) * 0.5;
    path = { ...path, peak_mm: Math.max(path.peak_mm, mm), peak_deg: Math.max(path.peak_deg, toDeg(rad)) };
    if (score > path.score) {
      path = { ...path, at_s: t, score };
      const behind = toDeg(Math.abs(wanted - nod));
      worst = {
        at_s: t,
        asked_pose: pose,
        delivered_pose: delivered,
        asked: asked.map((v) => (Number.isNaN(v) ? null : v)),
        delivered: now,
        stopped_by: stop,
        worst_joint: behind > 0 ? { name: 'nod', error: behind, past: 0, unit: 'deg' } : null,
      };
    }
  }
  const joints = rig.joints.map((j, i): JointAnswer => {
    const p = peaks[i]!;
    return {
      name: j.name,
      unit: 'deg',
      min: p.min,
      max: p.max,
      peak_speed: p.speed,
      peak_plus: p.plus,
      peak_minus: p.minus,
      limit_ticks: p.held,
      metal: null,
      peak_error: p.error,
      peak_error_at_s: p.at,
      past: 0,
      past_at_s: 0,
    };
  });
  const answer: Answer = {
    ok: unreachable === 0,
    rig: rig.name,
    stream: 'shows/first-look-round.csv',
    target: 'sim',
    proven: 'simulation',
    seconds: SECONDS,
    ticks: SECONDS * HZ,
    frames: SECONDS * 50 + 1,
    lost: 0,
    late: 0,
    starved: 0,
    unreachable,
    out_of_reach: unreachable / (SECONDS * HZ),
    beyond: [],
    stopped_by: [...stops].map(([key, ticks]) => {
      const [name = '', cause = ''] = key.split(' ');
      return { joint: name, cause, frames: Math.ceil(ticks / 4) };
    }),
    delay_ms: 80,
    look_ahead_ms: 40,
    wobble_ms: 0,
    latency_ms: latency.spread(),
    tick_us: null,
    path: { peak_mm: path.peak_mm, peak_deg: path.peak_deg, at_s: path.at_s },
    tolerance: { mm: 0.5, deg: 0.5 },
    joints,
    speed_peaks: [],
    breaches: [],
    breach_count: 0,
    responses: null,
    response_faults: null,
    metal: null,
    ...overrides,
  };
  const jointTraces = rig.joints.map((j, i): JointTrace => {
    const shown = (value: number): number => toShown(j, value);
    const { asked, delivered, speed, accel } = traces[i]!;
    return {
      name: j.name,
      unit: 'deg',
      limits: {
        lo: shown(j.lo),
        hi: shown(j.hi),
        speed: shown(j.speed),
        plus: shown(j.plus),
        minus: shown(j.minus),
        plus_gone: shown(j.plus_gone),
        minus_gone: shown(j.minus_gone),
      },
      asked: asked.data(),
      delivered: delivered.data(),
      speed: speed.data(),
      accel: accel.data(),
    };
  });
  return {
    answer,
    traces: {
      pose: poses.map((p, i) => ({ key: POSE_KEYS[i]!, asked: p.asked.data(), delivered: p.delivered.data() })),
      joints: jointTraces,
      latency: latency.histogram('ms'),
      tick: null,
      torques: [],
      worst: worst ?? {
        at_s: 0,
        asked_pose: HOME,
        delivered_pose: HOME,
        asked: [],
        delivered: [],
        stopped_by: null,
        worst_joint: null,
      },
    },
  };
}

/** A rough replay on a stand-in board, with gaps in the stream, tick durations and two limits broken. */
export function roughReplay(size = 1.7): Replay {
  const ticks = new Distribution();
  for (let i = 0; i < 2400; i++) ticks.add(640 + 40 * Math.abs(wave(i, 0.013)) + (i % 211 === 0 ? 300 : 0));
  const replay = replayOf(size, {
    ok: false,
    target: 'emulated:pico',
    proven: 'emulator',
    lost: 3,
    late: 2,
    starved: 14,
    tick_us: { ...ticks.spread(), budget: 5000, clock: 'the emulated chip’s timer' },
    breaches: [
      { at_s: 4.215, where: 'brow', what: 'speed', message: 'brow moves at 412.031 deg/s, its limit is 400.000 deg/s' },
      { at_s: 7.5, where: 'guard', what: 'tripped', message: 'the controller tripped: <late ticks & "heat">' },
    ],
    breach_count: 2,
  });
  return { answer: replay.answer, traces: { ...replay.traces, tick: ticks.histogram('us') } };
}
