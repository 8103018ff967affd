/**
 * What moves when a rig plays a stream, and how fast each of it may go: the six components of the pose, where the controller
 * bounds their speed, then every joint. One row of figures holds them all, in this order; rigs without a platform have joints
 * only. Coordinates rad and mm, rates per s.
 */
import { boundsOf } from '../physics/servo/limits.ts';
import { KnownLegs } from '../physics/kinematics/known-legs.ts';
import { type Rig, POSE_KEYS } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';

/** One figure of the row. */
export interface Axis {
  readonly name: string;
  readonly unit: 'mm' | 'deg';
  /** Infinity: not bounded. */
  readonly speed: number;
  readonly plus: number;
  readonly minus: number;
  /** Speeds at which plus and minus have faded to nothing; Infinity: they stay. */
  readonly plus_gone: number;
  readonly minus_gone: number;
}

/** The controller bounds the speed of a pose's component, not its acceleration. */
const FREE = { plus: Infinity, minus: Infinity, plus_gone: Infinity, minus_gone: Infinity };

export class RigMotion {
  readonly axes: readonly Axis[];
  /** Axes before the first joint: 6, or 0 without a platform. */
  readonly poseAxes: number;
  readonly rig: Rig;
  private readonly values: Float64Array;
  private readonly legs: KnownLegs | null;

  /** @param free joints, by number, whose limits are left out of account. */
  constructor(rig: Rig, free: ReadonlySet<number> = new Set()) {
    this.rig = rig;
    this.poseAxes = rig.platform ? POSE_KEYS.length : 0;
    this.legs = rig.platform && new KnownLegs(rig.platform);
    const legCount = rig.platform ? 6 : 0;
    this.values = new Float64Array(POSE_KEYS.length + rig.joints.length - legCount);
    const pose = POSE_KEYS.slice(0, this.poseAxes).map((key, k): Axis => {
      const [name = key, unit] = key.split('_');
      const speed = rig.motion.pose_speed[k] ?? Infinity;
      return { name, unit: unit === 'deg' ? 'deg' : 'mm', speed, ...FREE };
    });
    this.axes = [
      ...pose,
      ...rig.joints.map((joint, i): Axis => ({
        name: joint.name,
        unit: joint.unit,
        ...(free.has(i) ? { speed: Infinity, ...FREE } : boundsOf(joint)),
      })),
    ];
  }

  /** Numbers of the axes that a stream moves: not those of joints that it leaves alone, which it leaves alone all along. */
  moving(stream: StoredStream): Int32Array {
    const from = this.axes.length - (stream.size - POSE_KEYS.length);
    const values = stream.row(0);
    const moves = (k: number): boolean => k < from || !Number.isNaN(values[POSE_KEYS.length + k - from]!);
    return Int32Array.from(this.axes.keys()).filter(moves);
  }

  /** The row at a time of a stream. False: the platform does not reach that pose; the row is then not to be used. */
  at(stream: StoredStream, t_s: number, out: Float64Array): boolean {
    const { rig, values, poseAxes } = this;
    stream.evaluate(t_s, values);
    let k = poseAxes;
    if (this.legs) {
      for (let i = 0; i < 6; i++) out[i] = values[i]!;
      if (!this.legs.at(values)) return false;
      for (let i = 0; i < 6; i++) out[k++] = this.legs.legs[i]!;
    }
    // A joint that the stream leaves alone stands where it stands at home.
    for (let i = POSE_KEYS.length; i < values.length; i++, k++) {
      const value = values[i]!;
      out[k] = Number.isNaN(value) ? rig.joints[k - poseAxes]!.home : value;
    }
    return true;
  }
}
