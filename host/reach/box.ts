/** The share of a wanted region of poses that is in reach, by seeded sampling: each pose on its own, not the way to it. */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { type Stop, whatStops } from '../physics/kinematics/inverse.ts';
import { type PoseAxis, firstStop, poseAt } from '../physics/kinematics/travel.ts';
import type { Pose, Rig } from '../rig/rig.ts';
import { nameOf, settled, shownAs, unitOf } from './axes.ts';
import type { BoxShare } from './result.ts';

/** One component's wanted values, mm or rad, lowest first; components that are not named stay as they are. */
export interface Range {
  readonly axis: PoseAxis;
  readonly from: number;
  readonly to: number;
}

export const CONFIDENCE = 0.95;
/** Two-sided normal quantile of that confidence. */
const Z = 1.959963984540054;

/**
 * Wilson's score interval of a share (E. B. Wilson, "Probable inference, the law of succession, and statistical inference",
 * J. American Statistical Association 22, 1927, 209-212), at 95 % confidence: right also when none or all were hits.
 */
export function wilson(hits: number, samples: number): readonly [lowest: number, highest: number] {
  const share = hits / samples;
  const zz = (Z * Z) / samples;
  const middle = (share + zz / 2) / (1 + zz);
  const half = (Z / (1 + zz)) * Math.sqrt((share * (1 - share)) / samples + zz / (4 * samples));
  return [hits === 0 ? 0 : middle - half, hits === samples ? 1 : middle + half];
}

/** The pose and the box's values in it, components drawn evenly and each on its own. */
function draw(at: Pose, box: readonly Range[], next: () => number): Pose {
  const pose = [...at] as [number, number, number, number, number, number];
  for (const { axis, from, to } of box) pose[axis] = from + (to - from) * next();
  return pose;
}

/**
 * Samples the box, its corners not included.
 * @param at what components outside the box stand at, and what the box is shrunk about.
 * @param samples 1 or more.
 */
export function boxShare(rig: Rig, at: Pose, box: readonly Range[], samples: number, seed: number): BoxShare {
  const random = xoroshiro128plus(seed);
  const next = (): number => uniformFloat64(random);
  const stops = new Map<string, Stop & { samples: number }>();
  const stopped: Pose[] = [];
  for (let n = 0; n < samples; n++) {
    const pose = draw(at, box, next);
    const stop = whatStops(rig, pose);
    if (!stop) continue;
    stopped.push(pose);
    const key = `${stop.joint} ${stop.cause}`;
    const seen = stops.get(key) ?? { ...stop, samples: 0 };
    seen.samples++;
    stops.set(key, seen);
  }
  const inside = samples - stopped.length;
  return {
    ranges: box.map(({ axis, from, to }) => ({
      axis: nameOf(axis),
      unit: unitOf(axis),
      from: settled(shownAs(axis, from)),
      to: settled(shownAs(axis, to)),
    })),
    samples,
    seed,
    share: inside / samples,
    interval: wilson(inside, samples),
    confidence: CONFIDENCE,
    stops: [...stops.values()].sort((a, b) => b.samples - a.samples),
    fits_at: shrunk(rig, at, box, stopped),
  };
}

/** Of the box, for the search along a line out of its middle. */
const STEP = 1 / 32;

/** The largest factor, about `at`, at which none of the poses that were stopped is stopped any more, nor any corner. */
function shrunk(rig: Rig, at: Pose, box: readonly Range[], stopped: readonly Pose[]): number | null {
  if (box.some(({ axis, from, to }) => !(from <= at[axis] && at[axis] <= to))) return null;
  let factor = 1;
  for (const pose of [...corners(at, box), ...stopped]) {
    const out = pose.map((value, k) => value - (at[k] ?? 0)) as unknown as Pose;
    if (whatStops(rig, poseAt(at, out, factor))) factor = firstStop(rig, at, out, factor, STEP).by;
  }
  return factor;
}

function corners(at: Pose, box: readonly Range[]): Pose[] {
  return box.reduce<Pose[]>(
    (poses, { axis, from, to }) =>
      poses.flatMap((pose) => [from, to].map((value) => pose.map((v, k) => (k === axis ? value : v)) as never)),
    [at],
  );
}
