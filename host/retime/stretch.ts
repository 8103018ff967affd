/**
 * One stretch of a stream, slowed just enough: its pace by reachability analysis, then the new frames, then ticks through the
 * controller's interpolation; where a tick still asks for too much the limits are tightened there, and again.
 */
import { StoredStream } from '../stream/stored.ts';
import { Beats } from './beats.ts';
import { Grid, partsOf } from './grid.ts';
import { StretchLimits } from './limits.ts';
import { FastestPace } from './pace.ts';
import type { Span } from './spans.ts';
import { Tightening } from './tighten.ts';
import type { Whole } from './whole.ts';

/** The grid is laid so many times, each by the pace that the one before came to. */
const GRIDS = 3;
const MOST_ROUNDS = 80;
const MOST_ADJUSTMENTS = 40;
/** Frames of the stream around a stretch that shape its ends. */
const AROUND = 2;

export class Stretch {
  readonly span: Span;
  /** By new frame: its stream time, its time since the stretch began, the pace (ds/dt)² there. */
  s: Float64Array = new Float64Array(0);
  at_s: Float64Array = new Float64Array(0);
  x: Float64Array = new Float64Array(0);
  private readonly whole: Whole;
  private readonly beats: Beats | null;
  private grid: Grid;
  private limits: StretchLimits;
  private pace: FastestPace;

  constructor(whole: Whole, span: Span) {
    const { stream, frame_s, kept_s } = whole;
    this.whole = whole;
    this.span = span;
    this.beats = kept_s.length > 0 ? new Beats(stream.time(span.from), kept_s) : null;
    const lengths = Array.from({ length: span.to - span.from }, (_, f) => this.lengthOf(span.from + f));
    this.grid = this.lay(lengths.map((length_s) => partsOf(length_s, frame_s)));
    this.limits = new StretchLimits(whole, this.grid);
    this.pace = new FastestPace(this.limits);
  }

  /** Whether it begins and ends at the stream's own pace, where the stream goes on there. */
  get room(): { readonly before: boolean; readonly after: boolean } {
    const { span, x, whole } = this;
    return {
      before: span.from === 0 || x[0] === 1,
      after: span.to === whole.stream.count - 1 || x.at(-1) === 1,
    };
  }

  /** How late each beat is, s. */
  get late_s(): readonly number[] {
    return this.beats?.late(this) ?? [];
  }

  /** Finds the pace, and the new frames. @param tick_s the time of some tick, from the stretch's start on. */
  solve(tick_s: number): void {
    const { whole } = this;
    for (let turn = 0; turn < GRIDS; turn++) {
      // The pace decides where points lie and over how much of s a tick reaches, and these the pace.
      if (turn > 0) this.grid = this.lay(this.parts());
      this.grid.derive(whole.motion, whole.stream, this.x);
      this.limits = new StretchLimits(whole, this.grid);
      this.pace = new FastestPace(this.limits);
      this.findPace(null);
    }
    const tightening = new Tightening(whole, this.limits, this.at_s);
    const fresh = this.render();
    const changed = new Uint8Array(this.s.length);
    let found = tightening.all(fresh, null, changed);
    for (let round = 0; found > 0 && round < MOST_ROUNDS; round++) {
      const moved = this.findPace(changed);
      this.placeFrames(fresh);
      changed.fill(0);
      found = tightening.moved(fresh, moved, changed);
      // What lies behind has come to other moments between ticks.
      if (found === 0) found = tightening.all(fresh, tick_s, changed);
    }
  }

  /** The pace within the limits as they are now, on the beats. @param changed see FastestPace. @returns 1 where it changed. */
  private findPace(changed: Uint8Array | null): Uint8Array {
    const { beats, limits, pace } = this;
    const eased = new Uint8Array(this.s.length);
    if (changed === null) beats?.ceilings(this.s, limits.ceiling, eased);
    pace.solve(1, changed);
    this.setTimes();
    if (!beats) return pace.moved;
    const moved = pace.moved.slice();
    for (let turn = 0; turn < MOST_ADJUSTMENTS && beats.adjust(this, limits.ceiling); turn++) {
      eased.fill(0);
      beats.ceilings(this.s, limits.ceiling, eased);
      pace.solve(1, eased);
      this.setTimes();
      for (let i = 0; i < moved.length; i++) moved[i]! |= pace.moved[i]!;
    }
    return moved;
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
    this.at_s = new Float64Array(grid.points);
    return grid;
  }

  private lengthOf(f: number): number {
    const { stream } = this.whole;
    return stream.time(f + 1) - stream.time(f);
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

  private setTimes(): void {
    const { s, at_s, pace } = this;
    const { x } = pace;
    this.x = x;
    at_s[0] = 0;
    for (let i = 0; i + 1 < s.length; i++)
      at_s[i + 1] = at_s[i]! + (2 * (s[i + 1]! - s[i]!)) / (Math.sqrt(x[i]!) + Math.sqrt(x[i + 1]!));
  }

  /** The new frames of the stretch, with the stream's own around them. */
  private render(): StoredStream {
    const { span } = this;
    const { stream } = this.whole;
    const fresh = new StoredStream(stream.size - 6);
    const begin_s = stream.time(span.from);
    for (let f = Math.max(0, span.from - AROUND); f < span.from; f++)
      fresh.pushRow(stream.time(f) - begin_s, stream.row(f));
    this.frames((i, values) => {
      fresh.pushRow(this.at_s[i]!, values);
    });
    for (let f = span.to + 1; f <= Math.min(stream.count - 1, span.to + AROUND); f++)
      fresh.pushRow(this.at_s.at(-1)! + stream.time(f) - stream.time(span.to), stream.row(f));
    return fresh;
  }

  /** Puts the frames where they belong now. */
  private placeFrames(fresh: StoredStream): void {
    const { span, at_s } = this;
    const { stream } = this.whole;
    const first = Math.min(AROUND, span.from);
    for (let i = 0; i < at_s.length; i++) fresh.setTime(first + i, at_s[i]!);
    for (let k = first + at_s.length, f = span.to + 1; k < fresh.count; k++, f++)
      fresh.setTime(k, at_s.at(-1)! + stream.time(f) - stream.time(span.to));
  }

  /**
   * Every new frame: its point, and its values, valid during the call.
   * @param away_s how far from its time a frame will lie, where the stream was slowed: its values are taken there.
   */
  frames(take: (i: number, values: Float64Array) => void, away_s: (i: number) => number = () => 0): void {
    const { s, x } = this;
    const { stream } = this.whole;
    const { interval } = this.grid;
    const values = new Float64Array(stream.size);
    for (let i = 0; i < s.length; i++) {
      const isFrame = i === 0 || interval[i] !== interval[i - 1];
      const isOwn = x[i] === 1 && (i === 0 || x[i - 1] === 1) && (i + 1 === s.length || x[i + 1] === 1);
      const away = isFrame && isOwn ? 0 : Math.sqrt(x[i]!) * away_s(i);
      if (isFrame && away === 0) values.set(stream.row(interval[i]!));
      else stream.evaluate(s[i]! + away, values);
      take(i, values);
    }
  }
}
