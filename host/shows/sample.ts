/** A stream as a show has it: 50 frames a second in whole steps, without the values that stand at home all along. */
import { type Rig, toDeg } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';
import type { Frames } from './encode.ts';
import { FRAME_HZ, POSE, STEP } from './layout.ts';

export interface Sampled extends Frames {
  /** From the first frame to the last. */
  readonly seconds: number;
}

/** Places of a stream's values in a frame: its joints are the rig's but the legs, which come first. */
export const placesOf = (rig: Rig): number[] => {
  const legs = rig.joints.filter(({ kind }) => kind === 'leg').length;
  const others = rig.joints.length - legs;
  return [...Array.from({ length: POSE }, (_, k) => k), ...Array.from({ length: others }, (_, k) => POSE + legs + k)];
};

/** A value in steps; mm or rad. */
export const stepsAt = (place: number, value: number): number => Math.round((place < 3 ? value : toDeg(value)) / STEP);

/** Frames of a stream of such a length; the last one stands where the stream ends. */
export const framesIn = (length_s: number): number => Math.ceil(length_s * FRAME_HZ - 1e-6) + 1;

/** The stream has a frame, and is one of this rig's. */
export function sampleStream(stream: StoredStream, rig: Rig): Sampled {
  const first_s = stream.time(0);
  const count = framesIn(stream.time(stream.count - 1) - first_s);
  const places = placesOf(rig);
  const values = new Float64Array(stream.size);
  const rows = places.map(() => new Int32Array(count));
  for (let n = 0; n < count; n++) {
    stream.evaluate(first_s + n / FRAME_HZ, values);
    places.forEach((place, i) => {
      const value = values[i]!;
      rows[i]![n] = stepsAt(place, Number.isNaN(value) ? homeAt(rig, place) : value);
    });
  }
  const moving = places.flatMap((place, i) => {
    const home = stepsAt(place, homeAt(rig, place));
    return rows[i]!.some((steps) => steps !== home) ? [i] : [];
  });
  const steps = new Int32Array(count * moving.length);
  moving.forEach((i, k) => {
    for (let n = 0; n < count; n++) steps[n * moving.length + k] = rows[i]![n]!;
  });
  return { places: moving.map((i) => places[i]!), steps, count, seconds: (count - 1) / FRAME_HZ };
}

/** Where the value at a place of a frame stands at home, mm or rad. */
export const homeAt = (rig: Rig, place: number): number => rig.joints[place - POSE]?.home ?? 0;
