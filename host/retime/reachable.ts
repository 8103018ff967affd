/** Whether every pose that a stream asks for can be reached, and every joint stays within its soft limits. */
import { isBeyond } from '../physics/dynamics/beyond.ts';
import { whatStops } from '../physics/kinematics/inverse.ts';
import { type Rig, POSE_KEYS } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';

/** Something that stops a stream: how often, and where first. */
export interface Stopped {
  readonly joint: string;
  readonly cause: 'rod' | 'stroke' | 'limit' | 'rod_end';
  readonly at_s: number;
  looks: number;
}

/** What of a row of values stops the rig from being there; null: nothing. */
export function whatStopsRow(rig: Rig, values: ArrayLike<number>): Pick<Stopped, 'joint' | 'cause'> | null {
  if (rig.platform) {
    const stop = whatStops(rig, values);
    if (stop) return stop;
  }
  const legs = rig.platform ? 6 : 0;
  for (let i = legs, k = POSE_KEYS.length; i < rig.joints.length; i++, k++) {
    const joint = rig.joints[i]!;
    if (isBeyond(joint, values[k]!)) return { joint: joint.name, cause: 'limit' };
  }
  return null;
}

/** Every frame's time and, between two frames, one in every dt_s, in order. */
export function forEachLook(stream: StoredStream, dt_s: number, look: (t_s: number) => void): void {
  for (let f = 0; f < stream.count; f++) {
    look(stream.time(f));
    const next_s = f + 1 < stream.count ? stream.time(f + 1) : -Infinity;
    for (let t_s = stream.time(f) + dt_s; t_s < next_s; t_s += dt_s) look(t_s);
  }
}

/** Looks at every frame and once in every tick between; what stops it, most often first, and how many looks there were. */
export function whatStopsStream(
  rig: Rig,
  stream: StoredStream,
): { readonly stops: readonly Stopped[]; readonly looks: number } {
  const found = new Map<string, Stopped>();
  const values = new Float64Array(stream.size);
  const before = new Float64Array(stream.size);
  let looks = 0;
  let stop: Pick<Stopped, 'joint' | 'cause'> | null = null;
  const look = (t_s: number): void => {
    looks++;
    stream.evaluate(t_s, values);
    if (looks === 1 || values.some((value, k) => !Object.is(value, before[k]))) stop = whatStopsRow(rig, values);
    before.set(values);
    if (!stop) return;
    const key = `${stop.joint} ${stop.cause}`;
    const known = found.get(key) ?? { ...stop, at_s: t_s, looks: 0 };
    known.looks++;
    found.set(key, known);
  };
  forEachLook(stream, 1 / rig.motion.tick_hz, look);
  return { stops: [...found.values()].sort((a, b) => b.looks - a.looks), looks };
}
