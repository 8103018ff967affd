/** One pass along a stream, tick by tick: what each joint must give, how hot that makes it, and when it is worst. */
import { whatStopsLegs } from '../physics/kinematics/inverse.ts';
import { type Joint, toShown } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';
import type { Demand } from './demand.ts';
import type { JointAlong } from './result.ts';

/** Lengths into which a stream is cut: for each, the largest use of each joint and when that was. */
export const CUTS = 200;

export interface Along {
  /** By joint; null: nothing of the stream is in reach. */
  readonly joints: readonly (JointAlong | null)[];
  /** Share of the ticks at which the pose asked for is out of reach, which count for nothing else. */
  readonly out_of_reach: number;
  readonly current: { readonly peak_a: number; readonly at_s: number } | null;
  /** The instant of each joint's largest use in each length of the stream, in ascending order. */
  readonly hardest_s: readonly number[];
}

/** Time in which a joint gives more than it may for long. */
class HotPass {
  longest: JointAlong['hot'] = null;
  private run: { from_s: number; ticks: number; share: number } | null = null;
  private before_s = -Infinity;

  /** Ticks that were left out end a run. */
  add(share: number, most: number, t_s: number, dt_s: number): void {
    const follows = t_s - this.before_s < 1.5 * dt_s;
    this.before_s = t_s;
    if (!(share > most) || !follows) this.run = null;
    if (!(share > most)) return;
    this.run ??= { from_s: t_s, ticks: 0, share };
    const { run } = this;
    run.ticks++;
    run.share = Math.max(run.share, share);
    const for_s = run.ticks * dt_s;
    if (for_s > (this.longest?.for_s ?? 0)) this.longest = { for_s, from_s: run.from_s, share: run.share };
  }
}

/** One instant of a stream, as `Demand` knows it, but for its heat. */
export type Moment = Pick<Demand, 'rate' | 'atServo' | 'use' | 'needed' | 'current'>;

/** What one joint did in one length of a stream. */
class JointLength {
  peak = NaN;
  peakAt_s = NaN;
  worst = -1;
  at_s = NaN;
  effort = 0;
  speed = 0;
  peakSpeed = 0;
  needed = 0;
  /** -1: nothing; Infinity: too fast. */
  most = -1;
  mostAt_s = NaN;

  add(demand: Moment, i: number, t_s: number): void {
    const effort = demand.atServo(i);
    const speed = demand.rate[i]!;
    // Where a servo's figures are unknown its effort stands for its use, so that the worst is still found.
    const use = demand.use(i);
    const rank = Number.isNaN(use) ? Math.abs(effort) : use;
    this.needed = Math.max(this.needed, demand.needed(i));
    if (Number.isNaN(this.peak) || Math.abs(effort) > Math.abs(this.peak)) [this.peak, this.peakAt_s] = [effort, t_s];
    if (Math.abs(speed) > Math.abs(this.peakSpeed)) this.peakSpeed = speed;
    if (rank > this.most) {
      this.most = rank;
      this.mostAt_s = t_s;
    }
    this.rank(rank, t_s, effort, speed);
  }

  private rank(rank: number, t_s: number, effort: number, speed: number): void {
    // Of moments that are all too fast the fastest is the worst.
    const isFaster = rank === Infinity && Math.abs(speed) > Math.abs(this.speed);
    if (!(rank > this.worst) && !isFaster) return;
    this.worst = rank;
    this.at_s = t_s;
    this.effort = effort;
    this.speed = speed;
  }

  /** The length after this one. */
  join(next: JointLength): void {
    this.needed = Math.max(this.needed, next.needed);
    if (Number.isNaN(this.peak) || Math.abs(next.peak) > Math.abs(this.peak))
      [this.peak, this.peakAt_s] = [next.peak, next.peakAt_s];
    if (Math.abs(next.peakSpeed) > Math.abs(this.peakSpeed)) this.peakSpeed = next.peakSpeed;
    this.rank(next.worst, next.at_s, next.effort, next.speed);
  }
}

/** What all joints did in one length of a stream. All lengths put together in their order say what one pass along them says. */
export class LengthSum {
  readonly joints: readonly JointLength[];
  counted = 0;
  peak_a = -1;
  peakAt_s = NaN;

  /** @param n joints */
  constructor(n: number) {
    this.joints = Array.from({ length: n }, () => new JointLength());
  }

  /** The next tick. */
  add(moment: Moment, t_s: number): void {
    this.counted++;
    for (let i = 0; i < this.joints.length; i++) this.joints[i]!.add(moment, i, t_s);
    const drawn = moment.current();
    if (drawn > this.peak_a) [this.peak_a, this.peakAt_s] = [drawn, t_s];
  }
}

/** How hot one joint's servo gets, tick by tick. */
export class HeatPass {
  squares = 0;
  private readonly hot = new HotPass();
  private readonly most: number;
  private readonly dt_s: number;

  constructor({ servo }: Joint, dt_s: number) {
    this.most = servo.continuous_use;
    this.dt_s = dt_s;
  }

  /** The next tick within reach, by the share of stall torque. */
  add(share: number, t_s: number): void {
    this.squares += share ** 2;
    this.hot.add(share, this.most, t_s, this.dt_s);
  }

  get longest(): JointAlong['hot'] {
    return this.hot.longest;
  }
}

/** @param parts what the joint did, by length of the stream; @param ticks within reach */
function jointAlong(joint: Joint, parts: readonly JointLength[], heat: HeatPass, ticks: number): JointAlong {
  const { servo } = joint;
  const known = servo.stall !== null && servo.no_load_speed !== null;
  const told = (rank: number): number | null => (known && rank >= 0 && rank < Infinity ? rank : null);
  const all = new JointLength();
  for (const part of parts) all.join(part);
  const rms = Math.sqrt(heat.squares / ticks);
  return {
    peak: all.peak,
    peak_at_s: all.peakAt_s,
    at_s: all.at_s,
    effort: all.effort,
    speed: toShown(joint, all.speed),
    use: told(all.worst),
    impossible: all.worst === Infinity ? 'speed' : null,
    needed: all.needed < Infinity ? all.needed : null,
    peak_speed: toShown(joint, Math.abs(all.peakSpeed)),
    rms_use: Number.isNaN(rms) ? null : rms,
    hot: heat.longest,
    use_over_time: parts.map(({ most }) => told(most)),
    too_fast: parts.map(({ most }) => most === Infinity),
  };
}

/** Whether the plate goes where it is asked to, or is stopped short of it by a soft limit or a rod end, and bears other loads. */
export const goesThere = ({ rig, q, pose }: Demand): boolean => !rig.platform || whatStopsLegs(rig, q, pose) === null;

/** Ticks of a stream that takes so long. */
export const ticksIn = (length_s: number, dt_s: number): number => Math.floor(length_s / dt_s + 1e-9) + 1;

/** Walks along a stream of at least one frame, whose times are first_s to last_s. */
export function walkAlong(demand: Demand, stream: StoredStream): Along {
  const { joints } = demand.rig;
  const first_s = stream.time(0);
  const ticks = ticksIn(stream.time(stream.count - 1) - first_s, demand.dt_s);
  const lengths = Array.from({ length: CUTS }, () => new LengthSum(joints.length));
  const heats = joints.map((joint) => new HeatPass(joint, demand.dt_s));
  for (let k = 0; k < ticks; k++) {
    const t_s = first_s + k * demand.dt_s;
    if (!demand.look(stream, t_s, k === 0) || !goesThere(demand)) continue;
    lengths[lengthOf(k, ticks)]!.add(demand, t_s);
    for (let i = 0; i < heats.length; i++) heats[i]!.add(demand.share(i), t_s);
  }
  return sumAlong(joints, lengths, heats, ticks);
}

/** In which length of a stream a tick of it is: 0 to CUTS - 1. */
export const lengthOf = (k: number, ticks: number): number => Math.min(CUTS - 1, Math.floor((k * CUTS) / ticks));

/** @param lengths CUTS of them; @param heats by joint, after all ticks; @param ticks of the stream, out of reach or not */
export function sumAlong(
  joints: readonly Joint[],
  lengths: readonly LengthSum[],
  heats: readonly HeatPass[],
  ticks: number,
): Along {
  let [counted, peak_a, peakAt_s] = [0, -1, NaN];
  for (const length of lengths) {
    counted += length.counted;
    if (length.peak_a > peak_a) [peak_a, peakAt_s] = [length.peak_a, length.peakAt_s];
  }
  const partsOf = (i: number): JointLength[] => lengths.map((length) => length.joints[i]!);
  const times = new Set(lengths.flatMap((length) => length.joints.map(({ mostAt_s }) => mostAt_s)));
  return {
    joints: joints.map((joint, i) => (counted === 0 ? null : jointAlong(joint, partsOf(i), heats[i]!, counted))),
    out_of_reach: 1 - counted / ticks,
    current: counted === 0 ? null : { peak_a, at_s: peakAt_s },
    hardest_s: [...times].filter((t_s) => !Number.isNaN(t_s)).sort((a, b) => a - b),
  };
}
