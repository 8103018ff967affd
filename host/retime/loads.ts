/**
 * What moving takes of each servo, against its peak_use of the servo line. Rows are a motion's (motion.ts): the pose's six, then
 * the joints. Dry friction that the file gives is part of what moving takes, whatever the pace. Servos whose figures are not known
 * bound nothing, and are told of.
 */
import { Mechanism } from '../physics/dynamics/mechanism.ts';
import { fastest, frictionOf, overcome, stallOf, useOf } from '../physics/servo/servo-line.ts';
import { HOME, type Joint, type Pose, type Rig } from '../rig/rig.ts';
import { together } from '../rig/words.ts';
import type { RigMotion } from './motion.ts';

/**
 * Where holding alone takes more than this share of what a servo may give, no pace helps: it may then give as much as leaves a
 * twenty-fifth for moving, and the answer says that it is too much.
 */
export const MOST_HELD = 0.96;

/** What a joint's servo may give: `most` at rest and braking, less `fall` for each unit of speed in the effort's direction. */
export interface Line {
  readonly most: number;
  readonly fall: number;
}

const lineOf = (joint: Joint): Line | null => {
  const most = stallOf(joint);
  const top = fastest(joint);
  const share = joint.servo.peak_use;
  return most === null || top === null ? null : { most: share * most, fall: (share * most) / top };
};

export class Loads {
  /** By joint; null: not known. */
  readonly lines: readonly (Line | null)[];
  /** What is left out of account, in words. */
  readonly gaps: readonly string[];
  /** After `look`, by joint: its use; NaN: not known, Infinity: as fast as its servo turns without load, or faster. */
  readonly use: Float64Array;
  /** And the share of the pace squared at which no servo would be above its peak use; which joint asks for that. */
  share = 1;
  worst = -1;
  /** Largest use as a share of the peak use. */
  mostShare = 0;
  private readonly joints: readonly Joint[];
  private readonly mechanism: Mechanism;
  private readonly poseAxes: number;
  private readonly coordinates: Float64Array;
  private readonly rates: Float64Array;
  private readonly accels: Float64Array;
  private readonly efforts: Float64Array;
  private readonly frictions: Float64Array;

  /** @param free joints, by number, whose servos are left out of account. */
  constructor({ rig, poseAxes }: RigMotion, free: ReadonlySet<number> = new Set()) {
    const zeros = (): Float64Array => new Float64Array(rig.joints.length);
    this.joints = rig.joints;
    this.poseAxes = poseAxes;
    this.lines = rig.joints.map((joint, i) => (free.has(i) ? null : lineOf(joint)));
    this.mechanism = new Mechanism(rig);
    this.gaps = [...unknownServos(rig), ...this.mechanism.gaps.map(({ words }) => words)];
    this.use = zeros();
    this.frictions = Float64Array.from(rig.joints, frictionOf);
    [this.coordinates, this.rates, this.accels, this.efforts] = [zeros(), zeros(), zeros(), zeros()];
  }

  /** Whether there is a servo whose figures are known. */
  get isKnown(): boolean {
    return this.lines.some((line) => line !== null);
  }

  private place(row: Float64Array): boolean {
    const { poseAxes, coordinates } = this;
    for (let i = 0; i < coordinates.length; i++) coordinates[i] = row[poseAxes + i]!;
    const pose: Pose = poseAxes === 0 ? HOME : [row[0]!, row[1]!, row[2]!, row[3]!, row[4]!, row[5]!];
    return this.mechanism.at(coordinates, pose);
  }

  /**
   * Uses at a row, with rates and accelerations by differences to the rows a tick before and after it.
   * @param allowed uses above this share of the peak use are too much.
   */
  look(before: Float64Array, here: Float64Array, after: Float64Array, dt_s: number, allowed: number): void {
    const { poseAxes, rates, accels, efforts, use } = this;
    this.share = 1;
    this.worst = -1;
    this.mostShare = 0;
    use.fill(NaN);
    if (!this.place(here)) return;
    for (let i = 0, k = poseAxes; i < rates.length; i++, k++) {
      rates[i] = (after[k]! - before[k]!) / (2 * dt_s);
      accels[i] = (after[k]! - 2 * here[k]! + before[k]!) / (dt_s * dt_s);
    }
    this.mechanism.efforts(rates, accels, efforts);
    for (let i = 0; i < use.length; i++) {
      efforts[i]! += overcome(this.frictions[i]!, rates[i]!);
      const found = useOf(this.joints[i]!, efforts[i]!, rates[i]!);
      const needed = found.use ?? (found.why === 'speed' ? Infinity : NaN);
      const { peak_use } = this.joints[i]!.servo;
      use[i] = needed;
      this.mostShare = Math.max(this.mostShare, (needed || 0) / peak_use);
      if (needed > allowed * peak_use) this.shorten(i, allowed);
    }
  }

  /**
   * What share of the pace squared brings joint i back. Its weight and its friction stay; what moving adds goes down with the share, what the
   * servo's line has fallen by goes down with its root.
   */
  private shorten(i: number, allowed: number): void {
    const line = this.lines[i];
    if (!line) return;
    const sign = this.efforts[i]! < 0 ? -1 : 1;
    const held = (this.mechanism.gravity[i]! + overcome(this.frictions[i]!, this.rates[i]!)) * sign;
    // A weight that takes more than the servo may give is not to be helped by being slow.
    const room = Math.max(allowed * line.most, held / MOST_HELD) - held;
    const fallen = allowed * line.fall * Math.max(0, this.rates[i]! * sign);
    const moving = Math.abs(this.efforts[i]!) - held;
    const root = (2 * room) / (fallen + Math.sqrt(Math.max(0, fallen ** 2 + 4 * moving * room)));
    if (!(root * root < this.share)) return;
    this.share = root * root;
    this.worst = i;
  }

  /**
   * The terms of the efforts along a path: effort = perChange·u + perPace·x + held (friction with it), for d²s/dt² = u and (ds/dt)² = x.
   * @param row where; @param first,second derivatives of the motion's row to s, from `from` on.
   * @param out receives three numbers a joint, from `to` on. @returns false: singular; what is written bounds nothing.
   */
  terms(
    row: Float64Array,
    first: Float64Array,
    second: Float64Array,
    from: number,
    out: Float64Array,
    to: number,
  ): boolean {
    const { rates, accels, efforts, mechanism, poseAxes } = this;
    const n = rates.length;
    if (!this.place(row)) {
      out.fill(0, to, to + 3 * n);
      return false;
    }
    const held = mechanism.gravity;
    for (let i = 0; i < n; i++) {
      out[to + 3 * i + 2] = held[i]!;
      rates[i] = 0;
      accels[i] = first[from + poseAxes + i]!;
    }
    mechanism.efforts(rates, accels, efforts);
    for (let i = 0; i < n; i++) {
      out[to + 3 * i] = efforts[i]! - out[to + 3 * i + 2]!;
      rates[i] = accels[i]!;
      accels[i] = second[from + poseAxes + i]!;
    }
    mechanism.efforts(rates, accels, efforts);
    for (let i = 0; i < n; i++) {
      out[to + 3 * i + 1] = efforts[i]! - out[to + 3 * i + 2]!;
      out[to + 3 * i + 2]! += overcome(this.frictions[i]!, rates[i]!);
    }
    return true;
  }

  /**
   * The largest share of its peak use that a joint needs.
   * @param terms from place `at` on, as `terms` gives them; @param first derivatives of the motion row to s.
   */
  demand(terms: Float64Array, at: number, first: Float64Array, change: number, pace: number): number {
    let most = 0;
    for (let i = 0; i < this.lines.length; i++) {
      const line = this.lines[i];
      if (!line) continue;
      const effort = terms[at + 3 * i]! * change + terms[at + 3 * i + 1]! * pace + terms[at + 3 * i + 2]!;
      const rate = first[this.poseAxes + i]! * Math.sqrt(pace) * Math.sign(effort);
      most = Math.max(most, Math.abs(effort) / Math.max(1e-9, line.most - line.fall * Math.max(0, rate)));
    }
    return most;
  }
}

/** One line for each servo class whose torque or speed is not known. */
function unknownServos({ joints }: Rig): string[] {
  const unknown = joints.filter((joint) => lineOf(joint) === null);
  return [...new Set(unknown.map(({ servo }) => servo.name))].map((name) => {
    const users = unknown.filter(({ servo }) => servo.name === name).map((joint) => joint.name);
    return `what the ${name} servos (${together(users)}) can give is unknown: only speed and acceleration bound them`;
  });
}
