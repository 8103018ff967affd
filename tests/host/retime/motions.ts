/** A joint's motion looked at from outside: its values, and the moves in them. */
import { toDeg } from '../../../host/rig/rig.ts';
import type { StoredStream } from '../../../host/stream/stored.ts';

/** A joint's column in deg, or a component of the pose by its place, every ms. */
export function column(stream: StoredStream, place: number): number[] {
  const row = new Float64Array(stream.size);
  const count = Math.floor((stream.time(stream.count - 1) - stream.time(0)) * 1000) + 1;
  return Array.from({ length: count }, (_, k) => {
    stream.evaluate(stream.time(0) + k / 1000, row);
    return toDeg(row[place]!);
  });
}

/** Moves between two turns, turns of less than 0.3 deg left out: [from, to] in ms. */
export function moves(values: readonly number[]): [number, number][] {
  const turns = [0];
  let side = 0;
  let [lowest, highest] = [0, 0];
  values.forEach((value, k) => {
    if (value > values[highest]!) highest = k;
    if (value < values[lowest]!) lowest = k;
    if (side <= 0 && value - values[lowest]! > 0.3) {
      if (side < 0) turns.push(lowest);
      side = 1;
      highest = k;
    } else if (side >= 0 && values[highest]! - value > 0.3) {
      if (side > 0) turns.push(highest);
      side = -1;
      lowest = k;
    }
    if (side > 0) lowest = k;
    if (side < 0) highest = k;
  });
  return side === 0 ? [] : turns.map((from, k) => [from, turns[k + 1] ?? values.length - 1]);
}
