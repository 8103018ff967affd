/** Where a stream must be looked at: the frame intervals that ask for too much, with room around them to slow down in. */
import type { StoredStream } from '../stream/stored.ts';

/** First and last frame. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/** Flags every interval that a tick at t_s looks into. */
export function flag(tooMuch: Uint8Array, stream: StoredStream, t_s: number, dt_s: number): void {
  const last = stream.intervalAt(t_s + dt_s);
  for (let f = stream.intervalAt(t_s - dt_s); f <= last; f++) tooMuch[f] = 1;
}

/** A span longer by so many seconds at either end. */
export function widened(stream: StoredStream, span: Span, before_s: number, after_s: number): Span {
  const from = before_s > 0 ? stream.intervalAt(stream.time(span.from) - before_s) : span.from;
  const to = after_s > 0 ? stream.intervalAt(stream.time(span.to) + after_s) + 1 : span.to;
  return { from: Math.min(span.from, from), to: Math.max(span.to, to) };
}

/** The flagged intervals with so many seconds around them; what then overlaps is one span. */
export function spansOf(tooMuch: Uint8Array, stream: StoredStream, around_s: number): Span[] {
  const spans: Span[] = [];
  for (let f = 0; f < stream.count - 1; f++) {
    if (tooMuch[f] !== 1) continue;
    const span = widened(stream, { from: f, to: f + 1 }, around_s, around_s);
    const before = spans.at(-1);
    if (before && span.from <= before.to) spans[spans.length - 1] = { from: before.from, to: span.to };
    else spans.push(span);
  }
  return spans;
}
