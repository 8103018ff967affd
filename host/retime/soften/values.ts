/** The stream with softened joints on its own frames: all else stays to the last bit, and the joints follow as near as frames let them. */
import { StoredStream } from '../../stream/stored.ts';
import type { Clock } from './clock.ts';
import type { Curve } from './curve.ts';
import type { Change } from './frames.ts';

export function withValues(stream: StoredStream, clock: Clock, changes: readonly Change[]): StoredStream {
  const fresh = new StoredStream(stream.size - 6);
  for (let f = 0; f < stream.count; f++) {
    const row = stream.row(f).slice();
    const at = (stream.time(f) - clock.start_s) / clock.step_s;
    for (const { place, curve } of changes) if (isChanged(curve, at)) row[place] = valueAt(curve.now, at);
    fresh.pushRow(stream.time(f), row);
  }
  return fresh;
}

/** How many instants before and after a place decide its value. */
const [BEFORE, AFTER] = [1, 2];

function isChanged({ now, was }: Curve, at: number): boolean {
  const first = Math.floor(at);
  for (let i = first - BEFORE; i <= first + AFTER; i++) if (held(now, i) !== held(was, i)) return true;
  return false;
}

/** The cubic through four instants, between the middle two. */
function valueAt(values: Float64Array, at: number): number {
  const first = Math.floor(at);
  const u = at - first;
  const [a, b, c, d] = [held(values, first - 1), held(values, first), held(values, first + 1), held(values, first + 2)];
  return b + u * (c - b) + (u * (u - 1) * ((2 - u) * (a - 2 * b + c) + (1 + u) * (b - 2 * c + d))) / 6;
}

/** Before the first instant and after the last it stands still. */
const held = (values: Float64Array, i: number): number => values[Math.max(0, Math.min(values.length - 1, i))]!;
