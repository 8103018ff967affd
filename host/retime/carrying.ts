/** The speed peaks of what carries something, before and after retiming: more of them after is a stutter. */
import { POSE_KEYS, type Rig } from '../rig/rig.ts';
import { PEAK_PROMINENCE, countPeaks, speedsOf } from '../stream/speed-peaks.ts';
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

/** Names of the joints that carry the platform or a joint; without a platform also those that carry parts. */
function carriers({ platform, joints, parts }: Rig): ReadonlySet<string | null> {
  const on = [platform?.on ?? null, ...joints.map(({ axis }) => axis?.on ?? null)];
  return new Set(platform ? on : [...on, ...parts.map((part) => part.on)]);
}

export class CarryingColumns {
  private readonly moving: readonly Moving[];

  /** @param stream what later streams are compared with */
  constructor(rig: Rig, stream: StoredStream) {
    const names = carriers(rig);
    const pose = rig.platform ? POSE_KEYS.map((key, place) => ({ name: key.replace(/_.*$/, ''), place })) : [];
    const joints = streamJoints(rig).map((name, k) => ({ name, place: POSE_KEYS.length + k }));
    this.moving = [...pose, ...joints.filter(({ name }) => names.has(name))].flatMap(({ name, place }) => {
      const speeds = speedsAlong(stream, place);
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
    return this.moving.map(({ place, name, prominence, before }) => ({
      name,
      before,
      after: countPeaks(speedsAlong(fresh, place), prominence),
    }));
  }
}

/** Peaks that the stream did not have, in all columns. */
export const addedPeaks = (peaks: readonly ColumnPeaks[]): number =>
  peaks.reduce((sum, { before, after }) => sum + Math.max(0, after - before), 0);

function speedsAlong(stream: StoredStream, place: number): Float64Array {
  const row = new Float64Array(stream.size);
  const position = (t_s: number): number => {
    stream.evaluate(t_s, row);
    return row[place]!;
  };
  return speedsOf(position, stream.time(0), stream.time(stream.count - 1));
}
