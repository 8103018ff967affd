/** All the stretches of a stream that must be slowed, each long enough that it begins and ends at the stream's own pace. */
import { type Span, spansOf, widened } from './spans.ts';
import { Stretch } from './stretch.ts';
import type { Whole } from './whole.ts';

/** Room to slow down in before what is too much, and to come back in after it, s; doubled until it is enough. */
const AROUND_S = 0.5;

/** @param progress told of the share done, 0 to 1. */
export function solveAll(whole: Whole, progress: (share: number) => void): Stretch[] {
  const { stream, tooMuch, kept_s } = whole;
  const last = stream.count - 1;
  // Beats hold the whole together: what is lost before one is made good on the way to it.
  const spans = kept_s.length > 0 ? [{ from: 0, to: last }] : spansOf(tooMuch, stream, AROUND_S);
  const done: Stretch[] = [];
  let around_s = AROUND_S;
  for (let span = spans.shift(); span;) {
    const stretch = new Stretch(whole, span);
    const later_s = done.reduce(
      (sum, { span: { from, to }, at_s }) => sum + at_s.at(-1)! - (stream.time(to) - stream.time(from)),
      0,
    );
    stretch.solve(stream.time(0) - (stream.time(span.from) + later_s));
    const { before, after } = stretch.room;
    if (before && after) {
      done.push(stretch);
      progress(span.to / last);
      around_s = AROUND_S;
      span = spans.shift();
      continue;
    }
    around_s *= 2;
    span = joined(widened(stream, span, before ? 0 : around_s, after ? 0 : around_s), done, spans);
  }
  return done;
}

/** A span, and what it overlaps now of those before it and after it. */
function joined(span: Span, done: Stretch[], spans: Span[]): Span {
  let { from, to } = span;
  while ((done.at(-1)?.span.to ?? -1) >= from) from = Math.min(from, done.pop()!.span.from);
  while ((spans[0]?.from ?? Infinity) <= to) to = Math.max(to, spans.shift()!.to);
  return { from, to };
}
