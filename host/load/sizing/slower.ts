/** How much slower a whole stream must be played for the servos that are there to do: between its frames the same curve, later. */
import type { Rig } from '../../rig/rig.ts';
import { StoredStream } from '../../stream/stored.ts';
import { Demand } from '../demand.ts';
import { askedOf } from './asked.ts';
import { type Judged, judge } from './judge.ts';

export interface Slower {
  /** Its time, as a multiple of the stream's own. */
  readonly times: number;
  /** Of the joint with the least margin. */
  readonly judged: Judged;
}

/** Slower than this it is another scene (ours). */
const MOST_TIMES = 4;
/** Told in steps of so much: a tempo is set no finer (ours). */
const STEP = 0.05;
/** More ticks than this are not walked along a dozen times. */
const MOST_FRAMES = 40_000;

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

/** Null: no slower tempo would do, as far as is looked; or a figure is not known, or the stream is too long to look. */
export function slowerFor(rig: Rig, joints: readonly number[], stream: StoredStream): Slower | null {
  if (stream.count > MOST_FRAMES) return null;
  const demand = new Demand(rig);
  const judgedAt = (times: number): Judged => {
    const all = askedOf(demand, stretched(stream, times), joints).map((one) => judge(rig.joints[one.joint]!, one));
    return all.reduce((a, b) => (rank(b) < rank(a) ? b : a));
  };
  let [lo, hi] = [Math.round(1 / STEP), Math.round(MOST_TIMES / STEP)];
  let found = judgedAt(hi * STEP);
  if (found.enough !== true) return null;
  while (hi - lo > 1) {
    const middle = Math.floor((lo + hi) / 2);
    const judged = judgedAt(middle * STEP);
    if (judged.enough === true) [hi, found] = [middle, judged];
    else lo = middle;
  }
  return { times: hi * STEP, judged: found };
}

const rank = ({ enough, margin, use }: Judged): number =>
  enough === null ? -Infinity : use === null ? -10 : (margin ?? Infinity);
