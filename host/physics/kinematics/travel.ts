/**
 * How far a platform travels from a pose before something stops it. The first stop counts: what is in reach again beyond it
 * cannot be reached that way, and is not counted.
 */
import { HOME, type Pose, type Rig } from '../../rig/rig.ts';
import { type Stop, whatStops } from './inverse.ts';
import { MARGINS, marginsInto } from './margins.ts';

/** How far it comes along a direction, in units of that direction. */
export interface Travel {
  /** 0 or more; within 1e-6 of a step of the true one, and on the reachable side of it. */
  readonly by: number;
  /** What stands in the way just beyond; null: nothing, as far as was asked. */
  readonly stop: Stop | null;
}

/** One of the six components of a pose, in the order of POSE_KEYS. */
export type PoseAxis = 0 | 1 | 2 | 3 | 4 | 5;

/** Half a turn either way is all there is of a turn. */
const HALF_TURN = Math.PI;
const STEP_RAD = Math.PI / 180;
/** Of the longest a leg can be. */
const STEP_SHARE = 0.01;
/** The narrowest gap that a step is split for, and how near a stop is pinned down, in steps. */
const GAP = 1 / 256;
const NEAR = 1e-6;

/** The longest a leg can be, from its base joint to its moving joint, mm. The rig must have a platform. */
function longestLeg({ name, platform }: Rig): number {
  if (!platform) throw new Error(`rig ${name} has no platform`);
  return platform.stroke_mm ? platform.stroke_mm[1] : platform.crank_mm + platform.rod_mm;
}

/**
 * Travel along (mm) or about (rad) one axis of a pose, its other components held. A shift always ends at a stop, since no
 * leg moves further than to its other side; a turn ends after half a turn at the latest.
 * @param from a pose at which nothing stops it; at any other the travel is 0, with what stops it there.
 */
export function travelAlong(rig: Rig, from: Pose, axis: PoseAxis, sign: 1 | -1): Travel {
  const along: Pose = HOME.map((_, k) => (k === axis ? sign : 0)) as unknown as Pose;
  const reach_mm = longestLeg(rig);
  return axis < 3
    ? firstStop(rig, from, along, 2.5 * reach_mm, STEP_SHARE * reach_mm)
    : firstStop(rig, from, along, HALF_TURN, STEP_RAD);
}

/** The pose `by` along a direction. */
export const poseAt = (from: Pose, along: Pose, by: number): Pose =>
  from.map((value, k) => value + by * (along[k] ?? 0)) as unknown as Pose;

/**
 * Goes from a pose along a straight line of pose components until something stops it.
 *
 * In steps, each looked at in its middle: where a margin comes near 0 for its curvature over the step, the step is halved,
 * and so on down to 1/256 of it, so that a gap between two reachable poses is not stepped over unless it is thinner than
 * that (0.004 deg on a turn) or its edges are kinks. Then the stop is pinned down by halving.
 * @param most where the search ends, in units of `along`; the last step is cut there.
 * @param step in units of `along`.
 */
export function firstStop(rig: Rig, from: Pose, along: Pose, most: number, step: number): Travel {
  const search = new Search(rig, from, along, step);
  const begin = search.look(0);
  if (begin.stop) return { by: 0, stop: begin.stop };
  let before = begin;
  for (let n = 1; before.at < most; n++) {
    const next = search.look(Math.min(n * step, most));
    const found = search.between(before, next);
    if (found) return found;
    before = next;
  }
  return { by: most, stop: null };
}

/** One pose that was looked at. */
interface Look {
  readonly at: number;
  readonly stop: Stop | null;
  readonly margins: Float64Array;
}

class Search {
  private readonly rig: Rig;
  private readonly from: Pose;
  private readonly along: Pose;
  private readonly step: number;

  constructor(rig: Rig, from: Pose, along: Pose, step: number) {
    this.rig = rig;
    this.from = from;
    this.along = along;
    this.step = step;
  }

  look(at: number): Look {
    const pose = poseAt(this.from, this.along, at);
    const margins = new Float64Array(MARGINS);
    marginsInto(this.rig, pose, margins);
    return { at, stop: whatStops(this.rig, pose), margins };
  }

  /** The first stop after a, which is free, up to b; null: none. */
  between(a: Look, b: Look): Travel | null {
    const width = b.at - a.at;
    if (b.stop ? width <= NEAR * this.step : width <= GAP * this.step)
      return b.stop ? { by: a.at, stop: b.stop } : null;
    const middle = this.look((a.at + b.at) / 2);
    if (!middle.stop && !b.stop && !comesNear(a, middle, b)) return null;
    return this.between(a, middle) ?? (middle.stop ? null : this.between(middle, b));
  }
}

/**
 * Whether a margin could pass 0 between three evenly spaced looks. The parabola through them dips below the least of them by
 * at most a quarter of what the middle is off the chord; eight times that is asked for.
 */
function comesNear(a: Look, middle: Look, b: Look): boolean {
  for (let k = 0; k < MARGINS; k++) {
    const [p, q, r] = [a.margins[k]!, middle.margins[k]!, b.margins[k]!];
    if (!(Math.min(p, q, r) > 2 * Math.abs(q - (p + r) / 2))) return true;
  }
  return false;
}
