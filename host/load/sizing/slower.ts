/** How much slower a whole stream must be played for the servos that are there to do: between its frames the same curve, later. */
import type { Rig } from '../../rig/rig.ts';
import { StoredStream } from '../../stream/stored.ts';
import { ticksIn } from '../along.ts';
import { Demand } from '../demand.ts';
import { askedOf } from './asked.ts';
import { type Judged, judge, worstOf } from './judge.ts';

/** What was found by looking at slower tempos. Times are multiples of the stream's own. */
export interface Slower {
  /** The slowest that was looked at. */
  readonly up_to: number;
  /** The least slow that does, judged for the joint with the least margin; null: none. */
  readonly found: { readonly times: number; readonly judged: Judged } | null;
}

/** Slower than this it is another scene (ours). */
const MOST_TIMES = 4;
/** Told in steps of so much: a tempo is set no finer (ours). */
const STEP = 0.05;
/** Ticks of the stream: more are not walked along a dozen times. 200 s at 200 Hz, which take six legs some 15 s (measured). */
const MOST_TICKS = 40_000;

function stretched(stream: StoredStream, times: number): StoredStream {
  const slow = new StoredStream(stream.size - POSE);
  const row = new Float64Array(stream.size);
  const first_s = stream.time(0);
  for (let frame = 0; frame < stream.count; frame++) {
    stream.rowInto(frame, row);
    slow.pushRow(first_s + (stream.time(frame) - first_s) * times, row);
  }
  return slow;
}

/** Pose components in front of the joints in a row. */
const POSE = 6;

/** Null: not looked at, since a figure is not known or the stream is too long. */
export function slowerFor(rig: Rig, joints: readonly number[], stream: StoredStream): Slower | null {
  const demand = new Demand(rig);
  if (ticksIn(stream.time(stream.count - 1) - stream.time(0), demand.dt_s) > MOST_TICKS) return null;
  const judgedAt = (times: number): Judged =>
    worstOf(askedOf(demand, stretched(stream, times), joints).map((one) => judge(rig.joints[one.joint]!, one)));
  let [lo, hi] = [Math.round(1 / STEP), Math.round(MOST_TIMES / STEP)];
  let found = judgedAt(hi * STEP);
  if (found.enough === null) return null;
  if (!found.enough) return { up_to: MOST_TIMES, found: null };
  while (hi - lo > 1) {
    const middle = Math.floor((lo + hi) / 2);
    const judged = judgedAt(middle * STEP);
    if (judged.enough === true) [hi, found] = [middle, judged];
    else lo = middle;
  }
  return { up_to: MOST_TIMES, found: { times: hi * STEP, judged: found } };
}
