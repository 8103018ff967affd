/** A stretch of a stream with its new pace: what solving comes to, and the new stream that is made of such stretches. */
import { StoredStream } from '../stream/stored.ts';
import { arrival } from './beats.ts';
import type { Span } from './spans.ts';
import type { Whole } from './whole.ts';

/** By new frame: its stream time, its new time since the stretch began, the pace (ds/dt)² there, its frame interval. */
export interface Paced {
  readonly span: Span;
  readonly s: Float64Array;
  readonly at_s: Float64Array;
  readonly x: Float64Array;
  readonly interval: Int32Array;
  /** How late each kept beat is, s. */
  readonly late_s: readonly number[];
}

/**
 * Every new frame: its point, and its values, valid during the call.
 * @param away_s how far from its time a frame will lie, where the stream was slowed: its values are taken there.
 */
export function eachFrame(
  { s, x, interval }: Pick<Paced, 's' | 'x' | 'interval'>,
  stream: StoredStream,
  take: (i: number, values: Float64Array) => void,
  away_s: (i: number) => number = () => 0,
): void {
  const values = new Float64Array(stream.size);
  for (let i = 0; i < s.length; i++) {
    const isFrame = i === 0 || interval[i] !== interval[i - 1];
    const isOwn = x[i] === 1 && (i === 0 || x[i - 1] === 1) && (i + 1 === s.length || x[i + 1] === 1);
    const away = isFrame && isOwn ? 0 : Math.sqrt(x[i]!) * away_s(i);
    if (isFrame && away === 0) stream.rowInto(interval[i]!, values);
    else stream.evaluate(s[i]! + away, values);
    take(i, values);
  }
}

/** The link counts whole microseconds. */
const MICROSECONDS = 1e6;
const whole_us = (t_s: number): number => Math.round(t_s * MICROSECONDS) / MICROSECONDS;

/** The new stream. Stretches in the order of the stream. */
export function assemble({ stream }: Whole, stretches: readonly Paced[]): StoredStream {
  const fresh = new StoredStream(stream.size - 6);
  let later_s = 0;
  let next = 0;
  const copy = (to: number): void => {
    for (; next < to; next++) fresh.pushRow(stream.time(next) + later_s, stream.row(next));
  };
  for (const stretch of stretches) {
    const { span, at_s } = stretch;
    copy(span.from);
    const begin_s = stream.time(span.from) + later_s;
    const last = at_s.length - 1;
    const exact = (i: number): number => begin_s + at_s[i]!;
    eachFrame(
      stretch,
      stream,
      (i, values) => {
        if (i < last) fresh.pushRow(whole_us(exact(i)), values);
      },
      (i) => whole_us(exact(i)) - exact(i),
    );
    next = span.to;
    // A whole number of microseconds: frames that stay keep their distances.
    later_s = whole_us(exact(last) - stream.time(next));
  }
  copy(stream.count);
  return fresh;
}

/** Instants of the stream as it was, evenly spaced from its start to its end, and when they play now; s from either start. */
export interface Warp {
  readonly was_s: Float64Array;
  readonly now_s: Float64Array;
}

const STEPS = 240;

/** @param stretches in the stream's order */
export function warpOf(stream: StoredStream, stretches: readonly Paced[]): Warp {
  const start_s = stream.time(0);
  const step_s = (stream.time(stream.count - 1) - start_s) / STEPS;
  const was_s = Float64Array.from({ length: STEPS + 1 }, (_, k) => k * step_s);
  let [later_s, next] = [0, 0];
  const now_s = was_s.map((since_s) => {
    const s = start_s + since_s;
    for (let one = stretches[next]; one && stream.time(one.span.to) <= s; one = stretches[++next])
      later_s += one.at_s.at(-1)! - (stream.time(one.span.to) - stream.time(one.span.from));
    const inside = stretches[next];
    const begin_s = inside ? stream.time(inside.span.from) : Infinity;
    return later_s + (inside && s > begin_s ? begin_s - start_s + arrival(inside, s) : since_s);
  });
  return { was_s, now_s };
}
