/**
 * The stream with softened joints: where they changed it has new frames, few ticks apart, since frames further apart cannot carry a
 * softened blink. All else that moves there keeps its curve: on new frames it has the value that it had there, and where
 * new frames meet old ones a frame close by keeps the slope at the old one, which would change with its neighbour.
 */
import { limitedSlope } from '../../stream/interpolate.ts';
import { StoredStream } from '../../stream/stored.ts';
import type { Clock } from './clock.ts';
import type { Curve } from './curve.ts';
import { type Range, joined } from './ranges.ts';

/** A joint's new motion: its place in a row of values. */
export interface Change {
  readonly place: number;
  readonly curve: Curve;
}

/** New frames around what changed, so that slopes at its ends are its own. */
const AROUND = 2;
/** A frame that keeps a slope is so close to an old one, and no new frame comes closer to it than half of this, s. */
const CLOSE_S = 1e-3;
/** Two times nearer than this are one: the link counts whole microseconds. */
const SAME_S = 5e-7;
/** How far an old frame is looked for at which all slopes can be kept, in frames; and what is as good as kept, per s. */
const SEARCHED = 50;
const KEPT = 1e-6;

const whole_us = (t_s: number): number => Math.round(t_s * 1e6) / 1e6;

/** @param ranges new frames that changed. */
export function withFrames(
  stream: StoredStream,
  clock: Clock,
  changes: readonly Change[],
  ranges: readonly Range[],
): StoredStream {
  const builder = new Builder(stream, clock, changes);
  for (const span of builder.spansOf(ranges)) builder.add(span);
  return builder.end();
}

class Builder {
  private readonly stream: StoredStream;
  private readonly clock: Clock;
  private readonly changes: readonly Change[];
  private readonly fresh: StoredStream;
  /** The next old frame to copy. */
  private next = 0;
  private readonly row: Float64Array;

  constructor(stream: StoredStream, clock: Clock, changes: readonly Change[]) {
    this.stream = stream;
    this.clock = clock;
    this.changes = changes;
    this.fresh = new StoredStream(stream.size - 6);
    this.row = new Float64Array(stream.size);
  }

  private time(frame: number): number {
    return this.clock.start_s + frame * this.clock.perFrame * this.clock.step_s;
  }

  /** Between which old frames new ones are to lie. */
  spansOf(ranges: readonly Range[]): Range[] {
    const { stream } = this;
    const spans = ranges.map(({ from, to }) => {
      const first = stream.intervalAt(Math.max(stream.time(0), this.time(from - AROUND)));
      const last = stream.intervalAt(Math.min(stream.time(stream.count - 1), this.time(to + AROUND))) + 1;
      return { from: this.borderFrom(first, -1), to: this.borderFrom(last, 1) };
    });
    return joined(spans, 1);
  }

  /** The nearest old frame that way at which a close frame keeps all slopes. */
  private borderFrom(frame: number, way: 1 | -1): number {
    const { stream } = this;
    for (let k = 0; k < SEARCHED; k++) {
      const at = frame + way * k;
      if (at <= 0 || at >= stream.count - 1) return Math.max(0, Math.min(stream.count - 1, at));
      if (this.keepsSlopes(at, way)) return at;
    }
    return frame;
  }

  private keepsSlopes(border: number, way: 1 | -1): boolean {
    const { stream, row } = this;
    const away_s = Math.abs(this.nearestNew(border, way) - stream.time(border));
    if (away_s < CLOSE_S / 2) return false;
    const close_s = this.closeTo(border, way, row);
    const sparse_s = Math.abs(stream.time(border) - stream.time(border + way));
    return row.every((value, k) => {
      const here = stream.row(border)[k]!;
      const outer = (way * (stream.row(border + way)[k]! - here)) / sparse_s;
      const inner = (way * (here - value)) / close_s;
      const kept = limitedSlope(sparse_s, outer, close_s, inner);
      return Number.isNaN(value) || Math.abs(kept - this.slope(border, k)) < KEPT;
    });
  }

  /** Time of the first new frame beyond an old one, toward the changed part. */
  private nearestNew(border: number, way: 1 | -1): number {
    const { stream, clock } = this;
    const exact = (stream.time(border) - clock.start_s) / (clock.perFrame * clock.step_s);
    const isOn = Math.abs(exact - Math.round(exact)) * clock.perFrame * clock.step_s < SAME_S;
    const frame = isOn ? Math.round(exact) - way : way < 0 ? Math.ceil(exact) : Math.floor(exact);
    return this.time(frame);
  }

  private slope(frame: number, k: number): number {
    const { stream } = this;
    const [before_s, after_s] = [
      stream.time(frame) - stream.time(frame - 1),
      stream.time(frame + 1) - stream.time(frame),
    ];
    const [a, b, c] = [stream.row(frame - 1)[k]!, stream.row(frame)[k]!, stream.row(frame + 1)[k]!];
    return limitedSlope(before_s, (b - a) / before_s, after_s, (c - b) / after_s);
  }

  /**
   * Values of the frame close to an old one that keep its slopes: the three-point derivative solved for its third point.
   * @returns how close it is, s.
   */
  private closeTo(border: number, way: 1 | -1, out: Float64Array): number {
    const { stream } = this;
    const time = stream.time(border);
    const close_s = Math.min(CLOSE_S, Math.abs(this.nearestNew(border, way) - time) / 2);
    const sparse_s = Math.abs(stream.time(border + way) - time);
    for (let k = 0; k < out.length; k++) {
      const here = stream.row(border)[k]!;
      const outer = (way * (stream.row(border + way)[k]! - here)) / sparse_s;
      const slope = this.slope(border, k);
      const inner = slope === 0 ? 0 : slope + ((slope - outer) * close_s) / sparse_s;
      out[k] = here - way * inner * close_s;
    }
    return close_s;
  }

  /** Old frames up to a span's first, the new ones in it; its last is copied with what follows. */
  add({ from, to }: Range): void {
    const { stream, fresh, row, clock } = this;
    this.copy(from + 1);
    if (from > 0) {
      const close_s = this.closeTo(from, -1, row);
      fresh.pushRow(whole_us(stream.time(from) + close_s), row);
    }
    const frame_s = clock.perFrame * clock.step_s;
    const least_s = from > 0 ? CLOSE_S / 4 : SAME_S;
    const [begin_s, end_s] = [stream.time(from) + least_s, stream.time(to) - CLOSE_S / 4];
    for (let f = Math.ceil((begin_s - clock.start_s) / frame_s); this.time(f) < end_s; f++) this.pushNew(f);
    if (to < stream.count - 1) {
      const close_s = this.closeTo(to, 1, row);
      fresh.pushRow(whole_us(stream.time(to) - close_s), row);
    }
    this.next = to;
  }

  private copy(to: number): void {
    for (; this.next < to; this.next++) this.fresh.pushRow(this.stream.time(this.next), this.old(this.next));
  }

  /** An old frame's row; the stream's first and last may have lost their value. */
  private old(frame: number): Float64Array {
    const { stream, changes } = this;
    if (frame > 0 && frame < stream.count - 1) return stream.row(frame);
    const row = stream.row(frame).slice();
    for (const { place, curve } of changes) {
      const at = frame === 0 ? 0 : -1;
      if (curve.now.at(at) !== curve.was.at(at)) row[place] = curve.now.at(at)!;
    }
    return row;
  }

  private pushNew(frame: number): void {
    const { stream, fresh, row, clock } = this;
    const exact_s = this.time(frame);
    const interval = stream.intervalAt(exact_s + SAME_S);
    const isOld = Math.abs(stream.time(interval) - exact_s) < SAME_S;
    const t_s = isOld ? stream.time(interval) : whole_us(exact_s);
    if (isOld) row.set(stream.row(interval));
    else stream.evaluate(t_s, row);
    const away = (t_s - exact_s) / (clock.perFrame * clock.step_s);
    for (const { place, curve } of this.changes)
      row[place] = curve.frame(frame) + ((curve.frame(frame + 1) - curve.frame(frame - 1)) / 2) * away;
    fresh.pushRow(t_s, row);
  }

  end(): StoredStream {
    this.copy(this.stream.count);
    return this.fresh;
  }
}
