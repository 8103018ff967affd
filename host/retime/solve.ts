/** All the stretches of a stream that must be slowed, each long enough that it begins and ends at the stream's own pace. */
import type { Paced } from './paced.ts';
import { type Span, spansOf, widened } from './spans.ts';
import { Stretch } from './stretch.ts';
import type { Whole } from './whole.ts';

/** Room to slow down in before what is too much, and to come back in after it, s; doubled until it is enough. */
const AROUND_S = 0.5;

/** @param progress told of the share done, 0 to 1. */
export function solveAll(whole: Whole, progress: (share: number) => void): Paced[] {
  const { stream, tooMuch, kept_s } = whole;
  const last = stream.count - 1;
  // Beats hold the whole together: what is lost before one is made good on the way to it.
  const spans = kept_s.length > 0 ? [{ from: 0, to: last }] : spansOf(tooMuch, stream, AROUND_S);
  const done: Paced[] = [];
  let around_s = AROUND_S;
  for (let span = spans.shift(); span;) {
    const stretch = solveSpan(whole, span, done, progress);
    const before = span.from === 0 || stretch.x[0] === 1;
    const after = span.to === last || stretch.x.at(-1) === 1;
    if (before && after) {
      done.push(stretch.solved);
      around_s = AROUND_S;
      span = spans.shift();
      continue;
    }
    around_s *= 2;
    span = merged(widened(stream, span, before ? 0 : around_s, after ? 0 : around_s), done, spans);
  }
  return done;
}

function solveSpan(whole: Whole, span: Span, done: readonly Paced[], progress: (share: number) => void): Stretch {
  const { stream } = whole;
  const begins_s = done.reduce((sum, piece) => sum + longer_s(whole, piece), stream.time(span.from));
  const stretch = new Stretch(whole, span);
  stretch.solve(stream.time(0) - begins_s, (share) => {
    progress((span.from + share * (span.to - span.from)) / (stream.count - 1));
  });
  return stretch;
}

/** How much longer a piece takes now, s. */
const longer_s = ({ stream }: Whole, { span: { from, to }, at_s }: Paced): number =>
  at_s.at(-1)! - (stream.time(to) - stream.time(from));

/** A span, and what it overlaps now of those before it and after it. */
function merged(span: Span, done: Paced[], spans: Span[]): Span {
  let { from, to } = span;
  while ((done.at(-1)?.span.to ?? -1) >= from) from = Math.min(from, done.pop()!.span.from);
  while ((spans[0]?.from ?? Infinity) <= to) to = Math.max(to, spans.shift()!.to);
  return { from, to };
}
