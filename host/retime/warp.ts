/** How a retimed stream's time runs beside the old one's, for drawing. */
import type { StoredStream } from '../stream/stored.ts';
import { arrival } from './beats.ts';
import type { Paced } from './paced.ts';

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
