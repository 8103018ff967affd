/**
 * At which ticks of a stream candidates are hardest pressed: looked for with sample designs over every tick, never by leaving out even
 * shares of it (128 even ticks of 4001 missed a quarter of the worst use).
 */
import type { Design } from '../design.ts';
import { Along } from './along.ts';
import { type Candidate, STANDS } from './candidate.ts';
import type { Instants } from './instants.ts';
import { MARGINS, PER_LEG } from './legs.ts';

/** Most of each kind that are kept. */
const HARD = 96;
const NEAR = 40;

/** Largest so far of several things, and the tick of each. */
class Peaks {
  readonly at: Int32Array;
  private readonly most: Float64Array;

  constructor(count: number) {
    this.at = new Int32Array(count).fill(-1);
    this.most = new Float64Array(count).fill(-Infinity);
  }

  look(k: number, value: number, tick: number): void {
    if (!(value > this.most[k]!)) return;
    this.most[k] = value;
    this.at[k] = tick;
  }
}

/** How often each tick was the worst for something; those that were so for the whole count more. */
class Votes {
  private readonly votes = new Map<number, number>();

  add(tick: number, weight: number): void {
    if (tick >= 0) this.votes.set(tick, (this.votes.get(tick) ?? 0) + weight);
  }

  /** The most voted for, in ascending order. */
  best(count: number): number[] {
    const sorted = [...this.votes].sort(([a, m], [b, n]) => n - m || a - b);
    return sorted
      .slice(0, count)
      .map(([tick]) => tick)
      .sort((a, b) => a - b);
  }
}

/** Lengths of the stream of which each has its own worst tick. */
const CUTS = 12;
/** The worst of a candidate as a whole counts for so much more than the worst of one of its joints. */
const WHOLE = 1000;

/** @param instants all ticks. */
export function hardTicks(
  instants: Instants,
  candidate: Candidate,
  samples: readonly Design[],
): { readonly hard: readonly number[]; readonly near: readonly number[] } {
  const [hard, near] = [new Votes(), new Votes()];
  for (const design of samples) {
    if (candidate.take(design) !== STANDS) continue;
    voteForUse(instants, candidate, hard);
    voteForReach(instants, candidate, near);
  }
  return { hard: hard.best(HARD), near: near.best(NEAR) };
}

function voteForUse(instants: Instants, candidate: Candidate, votes: Votes): void {
  const { legs, rods, bars, crew, moment, height, side } = candidate;
  const axes = moment.axis.length;
  const along = new Along(axes);
  const whole = new Peaks(2 + axes);
  const each = new Peaks(6 + axes + CUTS);
  for (let n = 0; n < instants.count; n++) {
    if (!along.step(instants, n, height, side, legs, rods, bars, crew, moment)) continue;
    whole.look(0, moment.legUse, n);
    whole.look(1, moment.current, n);
    for (let i = 0; i < 6; i++) each.look(i, moment.use[i]!, n);
    each.look(6 + axes + Math.floor((n * CUTS) / instants.count), moment.legUse, n);
    for (let k = 0; k < axes; k++) {
      whole.look(2 + k, moment.axisUse[k]!, n);
      each.look(6 + k, Math.abs(moment.axis[k]!), n);
    }
  }
  for (const tick of whole.at) votes.add(tick, WHOLE);
  for (const tick of each.at) votes.add(tick, 1);
}

function voteForReach(instants: Instants, candidate: Candidate, votes: Votes): void {
  const { legs, moment } = candidate;
  const margins = new Float64Array(MARGINS);
  // By leg reach, limits and rod ends; the least of each kind.
  const each = new Peaks(MARGINS);
  const whole = new Peaks(PER_LEG);
  for (let n = 0; n < instants.count; n++) {
    moment.place(instants, n, legs);
    legs.marginsInto(margins, 0);
    for (let k = 0; k < MARGINS; k++) {
      each.look(k, -margins[k]!, n);
      whole.look(k % PER_LEG, -margins[k]!, n);
    }
  }
  for (const tick of whole.at) votes.add(tick, WHOLE);
  for (const tick of each.at) votes.add(tick, 1);
}
