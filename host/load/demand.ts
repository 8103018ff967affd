/**
 * What a rig's joints must give at one instant: holding at a place, or moving along a stream. Rates and accelerations are
 * differences from one tick of the controller to the next, which is how finely anything is ever asked of a servo. Moving takes the
 * dry friction that the file gives besides; to hold, the load alone counts (servo-line.ts).
 */
import { withinLimits } from '../physics/dynamics/beyond.ts';
import { KnownLegs } from '../physics/kinematics/known-legs.ts';
import { Mechanism, type MechanismOptions } from '../physics/dynamics/mechanism.ts';
import { type Posture, homePosture } from '../physics/dynamics/places.ts';
import { available, fastest, frictionOf, overcome, stallOf } from '../physics/servo/servo-line.ts';
import { HOME, type Joint, type Pose, type Rig } from '../rig/rig.ts';
import { rotorOf } from '../rig/rotor.ts';
import type { StoredStream } from '../stream/stored.ts';

const POSE = 6;

/** A torsion spring about a joint's axis, between its carrier and what it carries: torque stiffness·(free − angle) toward plus. */
export interface AxisSpring {
  /** Index of the joint. */
  readonly joint: number;
  /** N·m/rad, at the joint. */
  readonly stiffness: number;
  /** Where it gives nothing, rad. */
  readonly free: number;
}

export interface DemandOptions extends MechanismOptions {
  readonly springs?: readonly AxisSpring[];
}

export class Demand {
  readonly rig: Rig;
  readonly mechanism: Mechanism;
  /** One tick. */
  readonly dt_s: number;
  /** After `hold` or `look`: efforts at the joints' coordinates, and their rates; N·m and rad/s, or N and mm/s. */
  readonly effort: Float64Array;
  readonly rate: Float64Array;
  /** The place, of `look` too. */
  readonly q: Float64Array;
  pose: Pose = HOME;
  private readonly joints: readonly Joint[];
  private readonly stalls: Float64Array;
  private readonly tops: Float64Array;
  private readonly frictions: Float64Array;
  /** After `look`, per s². */
  readonly accel: Float64Array;
  private readonly springs: readonly AxisSpring[];
  private readonly legs: KnownLegs | null;
  private readonly legCount: number;
  /** Of home; 0: home is singular, and there are no sides. */
  private readonly side: number;
  /** Values of the stream, and the joints' coordinates, at three ticks. */
  private readonly values: Float64Array;
  private before: Float64Array;
  private here: Float64Array;
  private after: Float64Array;
  private herePose: Pose = HOME;
  private afterPose: Pose = HOME;

  constructor(rig: Rig, options: DemandOptions = {}) {
    const n = rig.joints.length;
    const zeros = (): Float64Array => new Float64Array(n);
    this.rig = rig;
    this.mechanism = new Mechanism(rig, options);
    this.springs = options.springs ?? [];
    const home = homePosture(rig);
    this.side = this.mechanism.at(home.q, home.pose) ? this.mechanism.side : 0;
    this.dt_s = 1 / rig.motion.tick_hz;
    this.joints = rig.joints;
    this.stalls = Float64Array.from(rig.joints, (joint) => stallOf(joint) ?? NaN);
    this.tops = Float64Array.from(rig.joints, (joint) => fastest(joint) ?? NaN);
    this.frictions = Float64Array.from(rig.joints, frictionOf);
    this.legs = rig.platform && new KnownLegs(rig.platform);
    this.legCount = rig.platform ? 6 : 0;
    this.values = new Float64Array(POSE + n - this.legCount);
    [this.effort, this.rate, this.q, this.accel] = [zeros(), zeros(), zeros(), zeros()];
    [this.before, this.here, this.after] = [zeros(), zeros(), zeros()];
  }

  /** Efforts that hold at a place. False: the platform is singular there. */
  hold({ q, pose }: Posture): boolean {
    this.q.set(q);
    this.pose = pose;
    this.rate.fill(0);
    if (!this.mechanism.at(q, pose)) return false;
    this.effort.set(this.mechanism.gravity);
    this.relieve();
    return true;
  }

  /**
   * Efforts that move along the stream at a time. Times that follow each other a tick apart cost least.
   * @param fresh the time does not follow the one before.
   * @returns false: out of reach, now or a tick before or after; or singular, or beyond a singular pose, where it cannot get to.
   */
  look(stream: StoredStream, t_s: number, fresh: boolean): boolean {
    const { dt_s, rate, accel, q } = this;
    if (fresh) {
      this.read(stream, t_s - dt_s);
      this.shift();
      this.read(stream, t_s);
    }
    this.shift();
    this.read(stream, t_s + dt_s);
    const { before, here, after } = this;
    let known = true;
    for (let i = 0; i < q.length; i++) {
      rate[i] = (after[i]! - before[i]!) / (2 * dt_s);
      accel[i] = (after[i]! - 2 * here[i]! + before[i]!) / (dt_s * dt_s);
      known &&= accel[i]! - accel[i]! === 0;
      q[i] = here[i]!;
    }
    this.stopAtLimits();
    this.pose = this.herePose;
    return known && this.move();
  }

  /**
   * The same instant that another has just looked at: of a rig that differs from this one in its weights alone.
   * @returns as `look` does.
   */
  lookAs({ q, pose, rate, accel }: Demand): boolean {
    this.q.set(q);
    this.pose = pose;
    this.rate.set(rate);
    this.accel.set(accel);
    return this.move();
  }

  /** Efforts at this place, rates and accelerations. False: singular, or beyond a singular pose. */
  private move(): boolean {
    const { q, rate, accel } = this;
    if (!this.mechanism.at(q, this.pose)) return false;
    if (this.side !== 0 && this.mechanism.side !== this.side) return false;
    this.mechanism.efforts(rate, accel, this.effort);
    for (let i = 0; i < q.length; i++) this.effort[i]! += overcome(this.frictions[i]!, rate[i]!);
    this.relieve();
    return true;
  }

  /** Springs give their part: nothing else that the rig has feels them. */
  private relieve(): void {
    for (const { joint, stiffness, free } of this.springs) this.effort[joint]! -= stiffness * (free - this.q[joint]!);
  }

  /** A joint, but a leg, that is asked to go beyond its soft limits stands at them. */
  private stopAtLimits(): void {
    const { before, here, after, joints, q } = this;
    for (let i = this.legCount; i < q.length; i++) {
      const joint = joints[i]!;
      const { lo, hi } = joint;
      if (Math.min(before[i]!, here[i]!, after[i]!) >= lo && Math.max(before[i]!, here[i]!, after[i]!) <= hi) continue;
      q[i] = withinLimits(joint, here[i]!);
      this.rate[i] = this.accel[i] = 0;
    }
  }

  private shift(): void {
    [this.before, this.here, this.after] = [this.here, this.after, this.before];
    this.herePose = this.afterPose;
  }

  /** The joints at a time; NaN for legs that do not reach. A joint that the stream leaves alone stands at home. */
  private read(stream: StoredStream, t_s: number): void {
    const { values, after, legCount, joints } = this;
    stream.evaluate(t_s, values);
    if (this.legs) {
      this.afterPose = [values[0]!, values[1]!, values[2]!, values[3]!, values[4]!, values[5]!];
      this.legs.at(values);
      after.set(this.legs.legs);
    }
    for (let i = legCount, k = POSE; i < joints.length; i++, k++) {
      const value = values[k]!;
      after[i] = Number.isNaN(value) ? joints[i]!.home : value;
    }
  }

  /** Share of what joint i's servo can give there; Infinity: as fast as it is without load, or faster; NaN: unknown. */
  use(i: number): number {
    const effort = this.effort[i]!;
    const rate = this.rate[i]!;
    if (Math.abs(rate) >= this.tops[i]!) return Infinity;
    return Math.abs(effort) / (available(this.joints[i]!, rate, effort < 0 ? -1 : 1) ?? NaN);
  }

  /**
   * Stall effort of a servo, as quick without load, that would just do there: at its own output, NaN where its figures are unknown,
   * Infinity where none would. An assumed rotor grows with the stall effort that it is assumed from.
   */
  needed(i: number): number {
    const { servo, gear_ratio, gear_efficiency } = this.joints[i]!;
    const sign = this.effort[i]! < 0 ? -1 : 1;
    const rotor = rotorOf(servo);
    const own = rotor?.assumed ? (rotor.inertia * gear_ratio * this.accel[i]! * this.si(i)) / gear_efficiency : 0;
    const left = 1 - Math.max(0, this.rate[i]! * sign) / this.tops[i]! - (sign * own) / (servo.stall ?? NaN);
    const others = sign * (this.atServo(i) - own);
    return left > 0 ? Math.max(0, others / left) : Number.isNaN(left) ? NaN : Infinity;
  }

  /** Of a joint's coordinate: m a mm. */
  private si(i: number): number {
    return this.joints[i]!.unit === 'mm' ? 1e-3 : 1;
  }

  /** Share of its stall torque, which is what heats it and draws current; NaN: unknown. */
  share(i: number): number {
    return Math.abs(this.effort[i]!) / this.stalls[i]!;
  }

  /** Effort at the servo's own output. */
  atServo(i: number): number {
    const { gear_ratio, gear_efficiency } = this.joints[i]!;
    return this.effort[i]! / (gear_ratio * gear_efficiency);
  }

  /** Current of all servos whose figures are known, A; a servo draws no more than stalled. */
  current(): number {
    let sum = 0;
    for (let i = 0; i < this.joints.length; i++) {
      const drawn = this.joints[i]!.servo.stall_current_a ?? NaN;
      const share = Math.min(1, this.share(i));
      if (drawn * share > 0) sum += drawn * share;
    }
    return sum;
  }
}
