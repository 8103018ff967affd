/** The new stream from its parts: frames that stay as they are, and the slowed stretches between them. */
import { StoredStream } from '../stream/stored.ts';
import { type Paced, eachFrame } from './paced.ts';
import type { Whole } from './whole.ts';

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
