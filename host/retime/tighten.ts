/**
 * The last word on a stretch: its new frames through the controller's interpolation, tick by tick. Where a tick asks for too
 * much, the limits that its pace was planned with are tightened, the more the nearer a point is.
 */
import type { StoredStream } from '../stream/stored.ts';
import type { StretchLimits } from './limits.ts';
import { type Excess, TickWalk } from './ticks.ts';
import type { Whole } from './whole.ts';

/** Tightened by a little more than what was too much, so that it ends; and in one round by this at most. */
const TIGHTER = 0.998;
const LEAST_SHARE = 0.25;
/** Ticks may come at any moment between frames: so many are tried, everywhere at first, then where frames moved. */
const PHASES = 4;
const PHASES_NEAR = 8;
/** A frame's place shapes the curve as far as the second frame from it. */
const SHAPES = 2;

export class Tightening {
  private readonly everywhere: TickWalk;
  private readonly near: TickWalk;
  private readonly aligned: TickWalk;
  private readonly limits: StretchLimits;
  private readonly at_s: Float64Array;
  /** How far from a tick its differences, and the slopes that they look at, reach. */
  private readonly reach_s: number;

  /** @param at_s time of each point since the stretch began, the same array for good. */
  constructor(whole: Whole, limits: StretchLimits, at_s: Float64Array) {
    this.everywhere = new TickWalk(whole.motion, PHASES);
    this.near = new TickWalk(whole.motion, PHASES_NEAR);
    this.aligned = new TickWalk(whole.motion, 1);
    this.limits = limits;
    this.at_s = at_s;
    this.reach_s = this.aligned.dt_s + whole.frame_s;
  }

  /**
   * Looks at all ticks, and tightens.
   * @param tick_s a tick's time from the stretch's start on: only ticks a whole number of ticks from it; null: some between.
   * @param changed receives 1 at points that were tightened. @returns how many ticks were too much.
   */
  all(fresh: StoredStream, tick_s: number | null, changed: Uint8Array): number {
    const { everywhere, aligned, at_s } = this;
    const found: Excess[] = [];
    const walk = tick_s === null ? everywhere : aligned;
    const from_s = (tick_s ?? 0) - walk.dt_s * Math.ceil((tick_s ?? 0) / walk.dt_s + 1);
    walk.walk(fresh, from_s, at_s.at(-1)! + walk.dt_s, null, { excess: (excess) => void found.push(excess) });
    this.apply(found, changed);
    return found.length;
  }

  /** The same for ticks near points that moved. */
  moved(fresh: StoredStream, moved: Uint8Array, changed: Uint8Array): number {
    const { at_s, reach_s } = this;
    const end = at_s.length - 1;
    const found: Excess[] = [];
    const sink = { excess: (excess: Excess) => void found.push(excess) };
    for (let i = 0; i <= end; i++) {
      if (moved[i] !== 1) continue;
      const from_s = at_s[Math.max(0, i - SHAPES)]! - reach_s;
      // Moved points close to each other are walked past in one go.
      let last = i;
      for (; i <= end && at_s[i]! <= at_s[last]! + 2 * reach_s; i++) if (moved[i] === 1) last = i;
      this.near.walk(fresh, from_s, at_s[Math.min(end, last + SHAPES)]! + reach_s, null, sink);
    }
    this.apply(found, changed);
    return found.length;
  }

  private apply(found: readonly Excess[], changed: Uint8Array): void {
    const { at_s, reach_s, limits } = this;
    const tighter = new Map<number, number>();
    const slower = new Map<number, number>();
    let point = 0;
    for (const { t_s, share, bound } of found) {
      const into = bound === 'speed' ? slower : tighter;
      const wanted = Math.max(LEAST_SHARE, share * TIGHTER);
      while (point > 0 && at_s[point]! > t_s - reach_s) point--;
      while (point + 1 < at_s.length && at_s[point + 1]! < t_s - reach_s) point++;
      for (let i = point; i < at_s.length && at_s[i]! < t_s + reach_s; i++) {
        const nearness = 1 - Math.abs(at_s[i]! - t_s) / reach_s;
        if (nearness > 0) into.set(i, Math.min(into.get(i) ?? 1, wanted ** nearness));
      }
    }
    for (const [factors, to] of [
      [tighter, limits.tight],
      [slower, limits.slow],
    ] as const)
      for (const [i, factor] of factors) {
        to[i]! *= factor;
        changed[i] = 1;
      }
  }
}
