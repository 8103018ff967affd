/**
 * The last word on a stretch: its new frames through the controller's interpolation, tick by tick. Where a tick asks for too
 * much, the limits that its pace was planned with are tightened, the more the nearer a point is.
 */
import type { StoredStream } from '../stream/stored.ts';
import type { StretchLimits } from './limits.ts';
import type { Marks } from './pace.ts';
import type { Paced } from './paced.ts';
import { ALLOWED, type Excess, TickWalk } from './ticks.ts';
import type { Whole } from './whole.ts';

/** Tightened by a little more than what was too much, so that it ends; and in one round by this at most. */
const TIGHTER = 0.998;
const LEAST_SHARE = 0.25;
/** What is left of a limit in the end: a thousandth of the stream's own rate, and it is given up. */
const LEAST_LEFT = 1e-6;
/**
 * Ticks may come at any moment between frames: so many are tried in each, and must leave a little, so that those between them,
 * which come to be when something before is slowed, stay within limits.
 */
const PHASES = 4;
const LEFT = 0.995;
/** Times are rounded to whole microseconds in the end. */
const NEARLY_ALLOWED = 1.0002;
/** A frame's place shapes the curve as far as the second frame from it. */
const SHAPES = 2;

export class Tightening {
  private readonly phased: TickWalk;
  private readonly aligned: TickWalk;
  private readonly paced: Paced;
  /** How far from a tick its differences, and the slopes that they look at, reach. */
  private readonly reach_s: number;
  /** By point: by what factors the limits were tightened last. */
  private readonly tighter: Factors;
  private readonly slower: Factors;

  /** @param isHeavy whether torque is to be looked at. */
  constructor(whole: Whole, limits: StretchLimits, paced: Paced, isHeavy: boolean) {
    const loads = isHeavy ? whole.loads : null;
    this.phased = new TickWalk(whole.motion, loads, PHASES, LEFT);
    this.aligned = new TickWalk(whole.motion, loads, 1, NEARLY_ALLOWED);
    this.paced = paced;
    this.tighter = new Factors(limits.tight);
    this.slower = new Factors(limits.slow);
    this.reach_s = this.aligned.dt_s + whole.frame_s;
  }

  /** Looks at ticks at all moments, and tightens. @param changed receives them. @returns how many ticks were too much. */
  everywhere(fresh: StoredStream, changed: Marks): number {
    const found: Excess[] = [];
    const { dt_s } = this.phased;
    this.phased.walk(fresh, -dt_s, this.paced.at_s.at(-1)! + dt_s, null, {
      excess: (excess) => void found.push(excess),
    });
    return this.apply(found, LEFT, changed);
  }

  /** The same between two times, for ticks a whole number of ticks from tick_s. */
  block(fresh: StoredStream, tick_s: number, from_s: number, to_s: number, changed: Marks): number {
    const { dt_s } = this.aligned;
    const found: Excess[] = [];
    const begin_s = tick_s + dt_s * Math.floor((Math.max(from_s, -dt_s) - tick_s) / dt_s);
    this.aligned.walk(fresh, begin_s, to_s + dt_s, null, { excess: (excess) => void found.push(excess) });
    return this.apply(found, NEARLY_ALLOWED, changed);
  }

  /** The same for ticks near points that moved. */
  moved(fresh: StoredStream, moved: Marks, changed: Marks): number {
    const { reach_s } = this;
    const { at_s } = this.paced;
    const end = at_s.length - 1;
    const found: Excess[] = [];
    const sink = { excess: (excess: Excess) => void found.push(excess) };
    for (let i = moved.first; i <= moved.last; i++) {
      if (moved.at[i] !== 1) continue;
      const from_s = at_s[Math.max(0, i - SHAPES)]! - reach_s;
      // Moved points close to each other are walked past in one go.
      let last = i;
      for (; i <= moved.last && at_s[i]! <= at_s[last]! + 2 * reach_s; i++) if (moved.at[i] === 1) last = i;
      this.phased.walk(fresh, from_s, at_s[Math.min(end, last + SHAPES)]! + reach_s, null, sink);
    }
    return this.apply(found, LEFT, changed);
  }

  /** @param allowed what was more than this share of a limit was found. */
  private apply(found: readonly Excess[], allowed: number, changed: Marks): number {
    const { reach_s, tighter, slower } = this;
    const { at_s } = this.paced;
    tighter.clear();
    slower.clear();
    let point = found.length > 0 ? firstAfter(at_s, found[0]!.t_s - reach_s) : 0;
    let count = 0;
    for (const { t_s, share, bound } of found) {
      const into = bound === 'speed' ? slower : tighter;
      const wanted = Math.max(LEAST_SHARE, share * TIGHTER);
      while (point > 0 && at_s[point]! > t_s - reach_s) point--;
      while (point + 1 < at_s.length && at_s[point + 1]! < t_s - reach_s) point++;
      // What the stream does at its own pace need not leave anything.
      if (share > (allowed / ALLOWED) ** 2 && this.isOwn(point, t_s + reach_s)) continue;
      count++;
      for (let i = point; i < at_s.length && at_s[i]! < t_s + reach_s; i++) {
        const nearness = 1 - Math.abs(at_s[i]! - t_s) / reach_s;
        if (nearness > 0) into.lower(i, wanted ** nearness);
      }
    }
    this.tighten(changed);
    return count;
  }

  /** Tightens once more what was tightened last, and twice as much: those limits did not bind yet. */
  again(changed: Marks): void {
    this.tighter.square();
    this.slower.square();
    this.tighten(changed);
  }

  private tighten(changed: Marks): void {
    this.tighter.tighten(changed);
    this.slower.tighten(changed);
  }

  /** Whether all points from one on, up to a time, are at the stream's own pace. */
  private isOwn(from: number, to_s: number): boolean {
    const { x, at_s } = this.paced;
    for (let i = from; i < x.length; i++) {
      if (x[i] !== 1) return false;
      if (at_s[i]! > to_s) return true;
    }
    return true;
  }
}

/** By what factors limits are tightened, point by point. */
class Factors {
  private readonly limits: Float64Array;
  /** 1: not at all. */
  private readonly factors: Float64Array;
  private readonly points: number[] = [];

  /** @param limits what is tightened. */
  constructor(limits: Float64Array) {
    this.limits = limits;
    this.factors = new Float64Array(limits.length).fill(1);
  }

  clear(): void {
    for (const i of this.points) this.factors[i] = 1;
    this.points.length = 0;
  }

  lower(i: number, factor: number): void {
    if (!(factor < this.factors[i]!)) return;
    if (this.factors[i] === 1) this.points.push(i);
    this.factors[i] = factor;
  }

  square(): void {
    for (const i of this.points) this.factors[i]! *= this.factors[i]!;
  }

  tighten(changed: Marks): void {
    for (const i of this.points) {
      this.limits[i] = Math.max(LEAST_LEFT, this.limits[i]! * this.factors[i]!);
      changed.add(i);
    }
  }
}

/** The first point whose time is after t_s. */
function firstAfter(at_s: Float64Array, t_s: number): number {
  let lo = -1;
  let hi = at_s.length - 1;
  while (hi - lo > 1) {
    const middle = (lo + hi) >> 1;
    if (at_s[middle]! > t_s) hi = middle;
    else lo = middle;
  }
  return hi;
}
