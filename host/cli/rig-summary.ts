/** What a rig file says once it is read, in the units of files: for `check`, and for whoever reads its JSON. */
import { ridersOf } from '../physics/dynamics/riders.ts';
import { type Joint, POSE_KEYS, type Pose, type Rig, toDeg, toShown } from '../rig/rig.ts';
import { supplyWords } from '../rig/boards.ts';
import { lookAhead_us } from '../rig/look-ahead.ts';
import { KGF_CM } from '../rig/torque.ts';
import { type NightSummary, summarizeNight } from './night-summary.ts';
import { goneOf, withUnit } from './keys.ts';
import { typicalOf } from '../rig/typical.ts';
import { servoClasses } from '../rig/servo-classes.ts';
import { pulseAt } from '../rig/pulse.ts';

export interface Mass {
  /** 'moving', 'base', 'ground' or a joint's name. */
  readonly on: string;
  /** Sum of what is known: parts, and the loads of joints that ride there. */
  readonly kg: number;
  /** Parts whose mass is unknown. */
  readonly unknown: readonly string[];
}

/** A servo class at the supply's voltage; linear: force_n and speed_mm_s in place of torque and speed. null: unknown. */
export interface ServoSummary {
  readonly name: string;
  readonly joints: readonly string[];
  readonly stall_torque_nm?: number | null;
  readonly stall_torque_kgfcm?: number | null;
  readonly no_load_speed_deg_s?: number | null;
  readonly force_n?: number | null;
  readonly speed_mm_s?: number | null;
  readonly stall_current_a: number | null;
}

export interface Unsure {
  readonly path: string;
  readonly from: string;
  readonly within_percent: number | null;
}

export interface Summary {
  readonly name: string;
  /** Null: a rig of joints without a platform. */
  readonly drive: 'crank' | 'linear' | null;
  readonly on: string | null;
  readonly mounted: boolean;
  readonly home_z_mm: number | null;
  readonly rest: Readonly<Record<(typeof POSE_KEYS)[number], number>> | null;
  readonly rest_kind: Rig['rest'];
  readonly audience: Rig['audience'];
  readonly tick_hz: number;
  readonly playback_delay_ms: number;
  /** In whole ticks. */
  readonly look_ahead_ms: number;
  /** How the board watches the supply, in words; null: it does not. */
  readonly supply_watch: string | null;
  /** Null: the rig has no night. */
  readonly night: NightSummary | null;
  readonly joints: readonly Readonly<Record<string, string | number>>[];
  /** The servo classes that a joint has. */
  readonly servos: readonly ServoSummary[];
  readonly masses: readonly Mass[];
  /** Pose components bounded by the joints alone. */
  readonly no_pose_speed: readonly string[];
  /** Figures that are unknown, assumed or estimated. */
  readonly unsure: readonly Unsure[];
  /** Figures that are not given, each with what is usual, not measured. */
  readonly typical: ReturnType<typeof typicalOf>;
}

/** A pose in mm and degrees, by key. */
export const poseRecord = (pose: Pose): Record<(typeof POSE_KEYS)[number], number> => ({
  x_mm: pose[0],
  y_mm: pose[1],
  z_mm: pose[2],
  roll_deg: toDeg(pose[3]),
  pitch_deg: toDeg(pose[4]),
  yaw_deg: toDeg(pose[5]),
});

function jointRecord(joint: Joint): Record<string, string | number> {
  const shown = (value: number): number => toShown(joint, value);
  return {
    name: joint.name,
    pin: joint.pin,
    servo: joint.servo.name,
    ...withUnit(joint.unit, {
      min: ['position', shown(joint.lo)],
      max: ['position', shown(joint.hi)],
      home: ['position', shown(joint.home)],
      rest: ['position', shown(joint.rest)],
      limit: ['speed', shown(joint.speed)],
      plus: ['accel', shown(joint.plus)],
      minus: ['accel', shown(joint.minus)],
      ...goneOf({ plus_gone: shown(joint.plus_gone), minus_gone: shown(joint.minus_gone) }),
    }),
    home_us: Math.round(pulseAt(joint, joint.home)),
    rest_us: Math.round(pulseAt(joint, joint.rest)),
  };
}

function servos({ joints }: Rig): ServoSummary[] {
  return servoClasses(joints).map(({ name, drive, stall, no_load_speed, stall_current_a }) => ({
    name,
    joints: joints.filter(({ servo }) => servo.name === name).map((joint) => joint.name),
    ...(drive === 'linear'
      ? { force_n: stall, speed_mm_s: no_load_speed }
      : {
          stall_torque_nm: stall,
          stall_torque_kgfcm: stall === null ? null : stall / KGF_CM,
          no_load_speed_deg_s: no_load_speed === null ? null : toDeg(no_load_speed),
        }),
    stall_current_a,
  }));
}

function masses(rig: Rig): Mass[] {
  const all = [...rig.parts, ...ridersOf(rig)];
  const carriers = [...new Set(all.map((part) => part.on))];
  return carriers.map((on) => {
    const parts = all.filter((part) => part.on === on);
    return {
      on,
      kg: parts.reduce((sum, part) => sum + (part.mass_kg ?? 0), 0),
      unknown: parts.filter((part) => part.mass_kg === null).map((part) => part.name),
    };
  });
}

const UNSURE: readonly string[] = ['unknown', 'assumed', 'estimate'];

export function summarize(rig: Rig): Summary {
  const { platform, motion } = rig;
  return {
    name: rig.name,
    drive: platform?.drive ?? null,
    on: platform?.on ?? null,
    mounted: platform?.mounted ?? false,
    home_z_mm: platform?.home_z_mm ?? null,
    rest: platform ? poseRecord(platform.rest) : null,
    rest_kind: rig.rest,
    audience: rig.audience,
    tick_hz: motion.tick_hz,
    playback_delay_ms: motion.playback_delay_ms,
    look_ahead_ms: lookAhead_us(motion) / 1000,
    supply_watch: supplyWords(rig),
    night: summarizeNight(rig),
    joints: rig.joints.map(jointRecord),
    servos: servos(rig),
    masses: masses(rig),
    no_pose_speed: platform ? POSE_KEYS.filter((_, k) => (motion.pose_speed[k] ?? null) === null) : [],
    typical: typicalOf(rig),
    unsure: [...rig.sources]
      .filter(([, source]) => UNSURE.includes(source.from))
      .map(([path, { from, within_percent }]) => ({ path, from, within_percent })),
  };
}
