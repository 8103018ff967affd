/** A stretch of a stream with its new pace: what solving comes to, and what the new stream is made of. */
import type { StoredStream } from '../stream/stored.ts';
import type { Span } from './spans.ts';

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
