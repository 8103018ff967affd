/** One pass along a stream, tick by tick: what each joint must give, how hot that makes it, and when it is worst. */
import { whatStopsLegs } from '../physics/kinematics/inverse.ts';
import { type Joint, toShown } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';
import type { Demand } from './demand.ts';
import type { JointAlong } from './result.ts';

/** Lengths into which a stream is cut: for each, the largest use of each joint and when that was. */
const CUTS = 200;

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

/** One instant of a stream, as `Demand` knows it. */
export type Moment = Pick<Demand, 'rate' | 'atServo' | 'use' | 'share' | 'needed' | 'current'>;

/** What one joint did so far. */
class JointPass {
  peak = NaN;
  peakAt_s = NaN;
  worst = -1;
  at_s = NaN;
  effort = 0;
  speed = 0;
  peakSpeed = 0;
  squares = 0;
  needed = 0;
  readonly hot = new HotPass();
  /** By length of the stream: -1: nothing yet; Infinity: too fast; NaN: unknown. */
  readonly most = new Float64Array(CUTS).fill(-1);
  readonly mostAt_s = new Float64Array(CUTS).fill(NaN);

  add(demand: Moment, i: number, { servo }: Joint, t_s: number, cut: number, dt_s: number): void {
    const effort = demand.atServo(i);
    const speed = demand.rate[i]!;
    // Where a servo's figures are unknown its effort stands for its use, so that the worst is still found.
    const use = demand.use(i);
    const rank = Number.isNaN(use) ? Math.abs(effort) : use;
    this.squares += demand.share(i) ** 2;
    this.hot.add(demand.share(i), servo.continuous_use, t_s, dt_s);
    this.needed = Math.max(this.needed, demand.needed(i));
    if (Number.isNaN(this.peak) || Math.abs(effort) > Math.abs(this.peak)) [this.peak, this.peakAt_s] = [effort, t_s];
    if (Math.abs(speed) > Math.abs(this.peakSpeed)) this.peakSpeed = speed;
    if (rank > this.most[cut]!) {
      this.most[cut] = rank;
      this.mostAt_s[cut] = t_s;
    }
    // Of moments that are all too fast the fastest is the worst.
    const isFaster = rank === Infinity && Math.abs(speed) > Math.abs(this.speed);
    if (rank > this.worst || isFaster) {
      this.worst = rank;
      this.at_s = t_s;
      this.effort = effort;
      this.speed = speed;
    }
  }

  answer(joint: Joint, known: boolean, ticks: number): JointAlong {
    const told = (rank: number): number | null => (known && rank >= 0 && rank < Infinity ? rank : null);
    const rms = Math.sqrt(this.squares / ticks);
    return {
      peak: this.peak,
      peak_at_s: this.peakAt_s,
      at_s: this.at_s,
      effort: this.effort,
      speed: toShown(joint, this.speed),
      use: told(this.worst),
      impossible: this.worst === Infinity ? 'speed' : null,
      needed: this.needed < Infinity ? this.needed : null,
      peak_speed: toShown(joint, Math.abs(this.peakSpeed)),
      rms_use: Number.isNaN(rms) ? null : rms,
      hot: this.hot.longest,
      use_over_time: [...this.most].map(told),
      too_fast: [...this.most].map((rank) => rank === Infinity),
    };
  }
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
  return sumAlong(joints, { first_s, dt_s: demand.dt_s, ticks }, (t_s, k) =>
    demand.look(stream, t_s, k === 0) && goesThere(demand) ? demand : null,
  );
}

/** @param momentAt of tick number k; null: out of reach */
export function sumAlong(
  joints: readonly Joint[],
  { first_s, dt_s, ticks }: { readonly first_s: number; readonly dt_s: number; readonly ticks: number },
  momentAt: (t_s: number, k: number) => Moment | null,
): Along {
  const passes = joints.map(() => new JointPass());
  let [counted, peak_a, peakAt_s] = [0, -1, NaN];
  for (let k = 0; k < ticks; k++) {
    const t_s = first_s + k * dt_s;
    const moment = momentAt(t_s, k);
    if (!moment) continue;
    counted++;
    const cut = Math.min(CUTS - 1, Math.floor((k * CUTS) / ticks));
    for (let i = 0; i < passes.length; i++) passes[i]!.add(moment, i, joints[i]!, t_s, cut, dt_s);
    const drawn = moment.current();
    if (drawn > peak_a) [peak_a, peakAt_s] = [drawn, t_s];
  }
  const times = new Set(passes.flatMap(({ mostAt_s }) => [...mostAt_s].filter((t_s) => !Number.isNaN(t_s))));
  const known = joints.map(({ servo }) => servo.stall !== null && servo.no_load_speed !== null);
  return {
    joints: passes.map((pass, i) => (counted === 0 ? null : pass.answer(joints[i]!, known[i]!, counted))),
    out_of_reach: 1 - counted / ticks,
    current: counted === 0 ? null : { peak_a, at_s: peakAt_s },
    hardest_s: [...times].sort((a, b) => a - b),
  };
}
