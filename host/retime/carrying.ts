/** The speed peaks of what carries something, before and after retiming: more of them after is a stutter. */
import { carriersOf } from '../rig/carriers.ts';
import { POSE_KEYS, type Rig } from '../rig/rig.ts';
import { PEAK_PROMINENCE, PEAK_STEP_S, countPeaks } from '../stream/speed-peaks.ts';
import { streamJoints } from '../stream/read.ts';
import type { StoredStream } from '../stream/stored.ts';
import type { ColumnPeaks } from './result.ts';

/** A column that moves: its place in a row of values, and its peaks' prominence, per s. */
interface Moving {
  readonly place: number;
  readonly name: string;
  readonly prominence: number;
  readonly before: number;
}

export class CarryingColumns {
  private readonly moving: readonly Moving[];

  /** @param stream what later streams are compared with */
  constructor(rig: Rig, stream: StoredStream) {
    const names = carriersOf(rig);
    const pose = rig.platform ? POSE_KEYS.map((key, place) => ({ name: key.replace(/_.*$/, ''), place })) : [];
    const joints = streamJoints(rig).map((name, k) => ({ name, place: POSE_KEYS.length + k }));
    const columns = [...pose, ...joints.filter(({ name }) => names.has(name))];
    const along = speedsAlong(
      stream,
      columns.map(({ place }) => place),
    );
    this.moving = columns.flatMap(({ name, place }, c) => {
      const speeds = along[c]!;
      const prominence = PEAK_PROMINENCE * speeds.reduce((most, speed) => Math.max(most, speed), 0);
      return prominence > 0 ? [{ place, name, prominence, before: countPeaks(speeds, prominence) }] : [];
    });
  }

  /** Places in a row of values, of those that move at all. */
  get places(): readonly number[] {
    return this.moving.map(({ place }) => place);
  }

  /** Peaks of each column before and in another stream, counted alike. */
  peaks(fresh: StoredStream): ColumnPeaks[] {
    const along = speedsAlong(fresh, this.places);
    return this.moving.map(({ name, prominence, before }, c) => ({
      name,
      before,
      after: countPeaks(along[c]!, prominence),
    }));
  }
}

/** Peaks that the stream did not have, in all columns. */
export const addedPeaks = (peaks: readonly ColumnPeaks[]): number =>
  peaks.reduce((sum, { before, after }) => sum + Math.max(0, after - before), 0);

/** Mean speeds of these places over each `PEAK_STEP_S` of a stream, as `speedsOf` gives them one by one. */
function speedsAlong(stream: StoredStream, places: readonly number[]): Float64Array[] {
  const start_s = stream.time(0);
  const steps = Math.max(0, Math.floor((stream.time(stream.count - 1) - start_s) / PEAK_STEP_S + 1e-9));
  const speeds = places.map(() => new Float64Array(steps));
  let [before, now] = [new Float64Array(stream.size), new Float64Array(stream.size)];
  stream.evaluate(start_s, before);
  for (let k = 0; k < steps; k++) {
    stream.evaluate(start_s + (k + 1) * PEAK_STEP_S, now);
    for (let c = 0; c < places.length; c++)
      speeds[c]![k] = Math.abs(now[places[c]!]! - before[places[c]!]!) / PEAK_STEP_S;
    [before, now] = [now, before];
  }
  return speeds;
}
