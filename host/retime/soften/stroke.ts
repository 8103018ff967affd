/** Strokes of a joint: runs of motion in one direction. What lies between them is stillness, or as good as still. */
import type { Clock } from './clock.ts';
import type { Lone } from './lone.ts';

/** A stroke moves faster than this share of its joint's speed somewhere, and begins and ends where it falls below the second. */
const MOVES = 0.01;
const STILL = 0.002;

/** From instant `from` to `to` in direction `sign`. */
export interface Stroke {
  readonly from: number;
  readonly to: number;
  readonly sign: 1 | -1;
  /** How far it goes, above 0. */
  readonly way: number;
  /** When half of the way is done, s from the stream's start. */
  readonly middle_s: number;
}

/** All strokes of a motion given by instants. */
export function strokesOf(values: Float64Array, { joint }: Pick<Lone, 'joint'>, { step_s }: Clock): Stroke[] {
  const still = STILL * joint.speed * step_s;
  const moves = MOVES * joint.speed * step_s;
  const way = (i: number): number => values[i + 1]! - values[i]!;
  const side = (i: number): number => (Math.abs(way(i)) > still ? Math.sign(way(i)) : 0);
  const strokes: Stroke[] = [];
  for (let i = 0; i + 1 < values.length;) {
    const from = i;
    const sign = side(i);
    let fastest = 0;
    while (i + 1 < values.length && side(i) === sign) fastest = Math.max(fastest, Math.abs(way(i++)));
    if (fastest > moves && (sign === 1 || sign === -1)) strokes.push(strokeOf(values, from, i, sign, step_s));
  }
  return strokes;
}

function strokeOf(values: Float64Array, from: number, to: number, sign: 1 | -1, step_s: number): Stroke {
  const half = (values[from]! + values[to]!) / 2;
  let i = from;
  while (sign * (values[i + 1]! - half) < 0) i++;
  const share = (half - values[i]!) / (values[i + 1]! - values[i]!);
  return { from, to, sign, way: sign * (values[to]! - values[from]!), middle_s: (i + share) * step_s };
}
