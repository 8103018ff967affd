/**
 * One stretch of a stream, slowed just enough: its pace by reachability analysis, then the new frames, then ticks through the
 * controller's interpolation; where a tick still asks for too much the limits are tightened there, and again.
 */
import { Beats } from './beats.ts';
import { FreshFrames } from './fresh.ts';
import { Grid, partsOf } from './grid.ts';
import { StretchLimits } from './limits.ts';
import { Marks, FastestPace } from './pace.ts';
import type { Paced } from './paced.ts';
import type { Span } from './spans.ts';
import { Tightening } from './tighten.ts';
import { Times } from './times.ts';
import { MOST_SLOWER, TooSlow } from './too-slow.ts';
import type { Whole } from './whole.ts';

/** The grid is laid so many times, each by the pace that the one before came to. */
const GRIDS = 3;
/** Rounds of tightening in one place. */
const MOST_ROUNDS = 60;
/** Times that blocks up to one are looked at again. */
const MOST_TRIES = 60;
/** So many points behind one that moved are looked at. */
const BEYOND = 64;
/** Ticks are looked at in blocks of so much time. */
const BLOCK_S = 2;
/** Tangents of the servo line are laid anew until the stretch's length changes by less than this share. */
const SETTLED = 1e-3;
const MOST_TANGENTS = 8;
const MOST_ADJUSTMENTS = 40;

export class Stretch implements Paced {
  readonly span: Span;
  s: Float64Array = new Float64Array(0);
  x: Float64Array = new Float64Array(0);
  private readonly whole: Whole;
  private readonly beats: Beats | null;
  private grid: Grid;
  private times = new Times(this.s);
  private limits: StretchLimits;
  private pace: FastestPace;

  constructor(whole: Whole, span: Span) {
    const { stream, frame_s, kept_s } = whole;
    this.whole = whole;
    this.span = span;
    this.beats = kept_s.length > 0 ? new Beats(stream.time(span.from), kept_s) : null;
    const lengths = Array.from(
      { length: span.to - span.from },
      (_, f) => stream.time(span.from + f + 1) - stream.time(span.from + f),
    );
    this.grid = this.lay(lengths.map((length_s) => partsOf(length_s, frame_s)));
    this.limits = new StretchLimits(whole, this.grid, this.x);
    this.pace = new FastestPace(this.limits);
  }

  get at_s(): Float64Array {
    return this.times.at_s;
  }

  get interval(): Int32Array {
    return this.grid.interval;
  }

  /** What is to be kept of it. */
  get solved(): Paced {
    const { span, s, at_s, x, interval, late_s } = this;
    return { span, s, at_s, x, interval, late_s };
  }

  get late_s(): readonly number[] {
    return this.beats?.late(this) ?? [];
  }

  /**
   * Finds the pace, and the new frames.
   * @param tick_s the time of some tick, from the stretch's start on. @param progress told of the share done, 0 to 1.
   * Throws TooSlow.
   */
  solve(tick_s: number, progress: (share: number) => void): void {
    const { whole } = this;
    for (let turn = 0; turn < GRIDS; turn++) {
      // The pace decides where points lie and over how much of s a tick reaches, and these the pace.
      if (turn > 0) this.grid = this.lay(this.parts());
      this.plan();
      // Where torque matters it is what decides in the end where points lie.
      if (turn > 0) this.grid.weigh(whole, this.x);
      if (this.limits.isBent) this.settleTangents();
      this.expectEnd();
    }
    this.tighten(tick_s, progress);
  }

  /** The pace by the limits at the grid's points alone. @returns how long that takes, s. */
  plan(): number {
    const { whole } = this;
    this.grid.derive(whole.motion, whole.stream, this.x);
    this.limits = new StretchLimits(whole, this.grid, this.x);
    this.pace = new FastestPace(this.limits);
    this.findFirstPace();
    return this.at_s.at(-1)!;
  }

  /** Everywhere first; then from front to back, since what is slowed brings all behind it to other moments between ticks. */
  private tighten(tick_s: number, progress: (share: number) => void): void {
    const { times } = this;
    const fresh = new FreshFrames(this.whole, this);
    const tightening = new Tightening(this.whole, this.limits, this, this.grid.terms !== null);
    const changed = new Marks(this.s.length);
    this.settle(tightening.everywhere(fresh.stream, changed), changed, fresh, tightening);
    times.drawBack(0);
    let [from_s, furthest_s, tries] = [-BLOCK_S, -BLOCK_S, 0];
    while (!times.isWhole || from_s < this.at_s.at(-1)!) {
      this.coverTo(from_s + 2 * BLOCK_S, fresh);
      const found = tightening.block(fresh.stream, tick_s, from_s, this.blockEnd(from_s), changed);
      const first = this.settle(found, changed, fresh, tightening);
      const again_s = first < this.s.length && tries++ < MOST_TRIES ? this.at_s[first]! - BLOCK_S : Infinity;
      this.expectEnd();
      from_s = Math.min(again_s, from_s + BLOCK_S);
      if (from_s <= furthest_s) continue;
      [furthest_s, tries] = [from_s, 0];
      progress(times.front / this.s.length);
    }
  }

  private expectEnd(): void {
    if (this.at_s.at(-1)! > MOST_SLOWER * (this.s.at(-1)! - this.s[0]!)) throw new TooSlow(this.span);
  }

  private blockEnd(from_s: number): number {
    return Math.min(from_s + BLOCK_S, this.at_s[this.times.front]!);
  }

  /** Makes all times up to one right. */
  private coverTo(to_s: number, fresh: FreshFrames): void {
    const { times } = this;
    while (!times.isWhole && times.at_s[times.front]! < to_s) times.cover(times.front + 1);
    fresh.place(times.front, times.front);
  }

  /** Tightens until no tick near what moved is too much. @returns the first point that moved; their number when none did. */
  private settle(found: number, changed: Marks, fresh: FreshFrames, tightening: Tightening): number {
    let first = this.s.length;
    for (let round = 0; found > 0 && round < MOST_ROUNDS; round++) {
      const moved = this.findPace(changed);
      if (moved.last < 0) {
        // Limits that were not the ones in force are tightened until they are.
        tightening.again(changed);
        continue;
      }
      first = Math.min(first, moved.first);
      fresh.place(moved.first, this.times.front);
      changed.clear();
      found = tightening.moved(fresh.stream, moved, changed);
    }
    changed.clear();
    return first;
  }

  private settleTangents(): void {
    for (let turn = 0; turn < MOST_TANGENTS; turn++) {
      const before_s = this.at_s.at(-1)!;
      this.limits.touch(this.x);
      this.findPace(new Marks(this.s.length).addAll());
      if (Math.abs(this.at_s.at(-1)! - before_s) < SETTLED * before_s) return;
    }
  }

  private findFirstPace(): void {
    const { beats, limits, pace } = this;
    this.x = pace.x;
    beats?.ceilings(this.s, limits.ceiling, new Marks(this.s.length));
    this.findPace(new Marks(this.s.length).addAll());
  }

  /** The pace within the limits as they are now, on the beats. @param changed see FastestPace. @returns where it changed. */
  private findPace(changed: Marks): Marks {
    const { beats, limits, pace } = this;
    pace.solve(1, changed);
    this.renewTimes();
    if (!beats) return pace.moved;
    const moved = new Marks(this.s.length);
    moved.addOther(pace.moved);
    const eased = new Marks(this.s.length);
    for (let turn = 0; turn < MOST_ADJUSTMENTS && beats.adjust(this, limits.ceiling); turn++) {
      eased.clear();
      beats.ceilings(this.s, limits.ceiling, eased);
      pace.solve(1, eased);
      this.renewTimes();
      moved.addOther(pace.moved);
    }
    return moved;
  }

  private renewTimes(): void {
    const { times, pace, beats } = this;
    const { first, last } = pace.moved;
    // A beat looks at all of it.
    times.cover(beats ? this.s.length : last + BEYOND);
    if (last >= 0) times.renew(pace.x, first);
  }

  /** Lays a new grid; the pace is what the old grid had there, 1 without one. */
  private lay(parts: ArrayLike<number>): Grid {
    const { motion, stream } = this.whole;
    const grid = new Grid(stream, this.span.from, this.span.to, parts, motion.axes.length);
    const old = this.s;
    const x = new Float64Array(grid.points).fill(1);
    for (let i = 0, k = 0; i < grid.points && old.length > 0; i++) {
      while (k + 2 < old.length && old[k + 1]! <= grid.s[i]!) k++;
      const share = (grid.s[i]! - old[k]!) / (old[k + 1]! - old[k]!);
      x[i] = this.x[k]! + share * (this.x[k + 1]! - this.x[k]!);
    }
    this.x = x;
    this.s = grid.s;
    this.times = new Times(grid.s);
    return grid;
  }

  /** Into how many parts each frame interval is cut, by how long it takes now; one where all of it has one even pace. */
  private parts(): number[] {
    const { s, at_s, x, span, grid, limits } = this;
    const takes_s = new Float64Array(span.to - span.from);
    const isEven = new Uint8Array(takes_s.length).fill(1);
    for (let i = 0; i + 1 < s.length; i++) {
      const f = grid.interval[i]! - span.from;
      takes_s[f]! += at_s[i + 1]! - at_s[i]!;
      if (x[i] !== limits.ceiling[i] || x[i + 1] !== x[i]) isEven[f] = 0;
    }
    return Array.from(takes_s, (new_s, f) => (isEven[f] === 1 ? 1 : partsOf(new_s, this.whole.frame_s)));
  }
}
