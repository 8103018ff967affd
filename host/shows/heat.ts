/** What a show's motion heats each servo by, over each of its segments of 10 s, and what holding home does. */
import { goesThere, ticksIn } from '../load/along.ts';
import { Demand } from '../load/demand.ts';
import { heatOf, tauOf, warmedBy } from '../load/heat.ts';
import { homePosture } from '../physics/dynamics/places.ts';
import { type Rig, toRad } from '../rig/rig.ts';
import { StoredStream } from '../stream/stored.ts';
import { type Frames, segmentsIn } from './encode.ts';
import { FRAME_HZ, HEAT, POSE, SEGMENT, STEP } from './layout.ts';

export const SEGMENT_S = SEGMENT / FRAME_HZ;

/** By joint: 1 is what it may bear for ever; NaN: its servo's torque is not known. */
type Heats = Float64Array;

/** The frames as a stream of the rig; what they do not name is left alone, which is home. */
export function streamOf({ places, steps, count }: Frames, rig: Rig): StoredStream {
  const legs = rig.joints.filter(({ kind }) => kind === 'leg').length;
  const stream = new StoredStream(rig.joints.length - legs);
  const row = new Float64Array(stream.size).fill(NaN).fill(0, 0, POSE);
  for (let frame = 0; frame < count; frame++) {
    places.forEach((place, i) => {
      const shown = steps[frame * places.length + i]! * STEP;
      row[place < POSE ? place : place - legs] = place < 3 ? shown : toRad(shown);
    });
    stream.pushRow(frame / FRAME_HZ, row);
  }
  return stream;
}

/** Of each segment: the mean, tick by tick, of what its servos must give. What is out of reach counts for nothing. */
export function heatsAlong(rig: Rig, frames: Frames): Heats[] {
  const demand = new Demand(rig);
  const stream = streamOf(frames, rig);
  const sums = Array.from({ length: segmentsIn(frames.count) }, () => new Float64Array(rig.joints.length));
  const counted = sums.map(() => 0);
  const ticks = ticksIn((frames.count - 1) / FRAME_HZ, demand.dt_s);
  for (let k = 0; k < ticks; k++) {
    const t_s = k * demand.dt_s;
    if (!demand.look(stream, t_s, k === 0) || !goesThere(demand)) continue;
    const segment = Math.min(sums.length - 1, Math.floor(t_s / SEGMENT_S + 1e-9));
    counted[segment]!++;
    rig.joints.forEach(({ servo }, j) => (sums[segment]![j]! += heatOf(demand.share(j), servo)));
  }
  return sums.map((heats, s) => heats.map((sum) => (counted[s] === 0 ? 0 : sum / counted[s]!)));
}

/** What holding home heats each joint's servo by. */
export function holdHeats(rig: Rig): Heats {
  const demand = new Demand(rig);
  const known = demand.hold(homePosture(rig));
  return Float64Array.from(rig.joints, ({ servo }, j) => (known ? heatOf(demand.share(j), servo) : NaN));
}

/** As shows store it; what is not known counts as nothing. */
export const heatByte = (heat: number): number => Math.min(255, Math.round((Number.isNaN(heat) ? 0 : heat) * HEAT));

/**
 * The warmest that a show may get a servo from cold, as shows store it: 30 of 32 (HEAT). The board adds what is still warm from before, and
 * starts it where that makes 32 at most: at 32 only from quite cold, which a servo that cools by a time constant never is, at 30 within
 * about three time constants of having been as warm as it may get.
 */
export const WARMEST = 30;
/** Up to here heatByte says WARMEST. */
export const WARMEST_SHARE = (WARMEST + 0.5) / HEAT;

export interface Warmest {
  /** Index of the joint; null: no servo's torque is known. */
  readonly joint: number | null;
  /** 1 is as warm as what it may bear for ever makes it. */
  readonly warm: number;
}

/** The warmest that a servo gets from cold, while a show of so many frames runs once. */
export function warmestIn(rig: Rig, heats: readonly Heats[], frames: number): Warmest {
  let found: Warmest = { joint: null, warm: 0 };
  rig.joints.forEach(({ servo }, j) => {
    let warm = 0;
    heats.forEach((segment, s) => {
      const for_s = Math.min(SEGMENT, frames - s * SEGMENT) / FRAME_HZ;
      warm = warmedBy(warm, segment[j]!, for_s, tauOf(servo));
      if (warm > found.warm || (found.joint === null && !Number.isNaN(warm))) found = { joint: j, warm };
    });
  });
  return found;
}
