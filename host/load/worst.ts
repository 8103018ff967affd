/**
 * The places within the soft limits where a joint holds most, and where all hold most easily: by trying places that the
 * platform can stand in, then climbing from the best of them in ever smaller steps, along each coordinate and in directions
 * drawn by a seeded generator, since the best places lie in corners of what it can reach. Found, not proven to be the worst.
 */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { whatStops } from '../physics/inverse.ts';
import { type Posture, postureAt, standingPostures } from '../physics/places.ts';
import { HOME, type Joint, type Pose, type Rig } from '../rig/rig.ts';
import type { Demand } from './demand.ts';

/**
 * So many times what the legs hold where it stands is near a place where the plate hangs loose, and legs must hold without end
 * (judgment: a platform on its side needs five times what a level one does).
 */
const LOOSE = 100;

/** Whether this is near such a place, by efforts of the legs there and where it was asked to stand. */
export function isLoose({ rig }: Demand, there: ArrayLike<number>, asked: ArrayLike<number>): boolean {
  const most = (of: ArrayLike<number>): number =>
    rig.platform ? Math.max(...[0, 1, 2, 3, 4, 5].map((i) => Math.abs(of[i]!))) : 0;
  return most(there) > LOOSE * most(asked) && most(asked) > 0;
}

/** Places to climb from, for each joint. */
const STARTS = 4;
/** First steps of the pose, mm and rad, and of other joints as a share of their range; last: first / 2^HALVINGS. */
const STEPS = [4, 4, 4, 0.08, 0.08, 0.08];
const RANGE_SHARE = 0.25;
const HALVINGS = 9;
/** Drawn directions at each size of step. */
const DRAWN = 16;
const SEED = 5;
/** A step must better the score by this share, or it is rounding. */
const BETTER = 1e-6;

const POSE = 6;

/** How good a place is, larger is better; NaN counts for nothing. */
type Score = (demand: Demand) => number;

interface Found {
  readonly at: Posture;
  readonly score: number;
}

/** A place as one list: the pose when there is a platform, then the other joints. */
const coordinatesOf = (rig: Rig, { q, pose }: Posture): number[] => (rig.platform ? [...pose, ...q.slice(6)] : [...q]);

const othersOf = (rig: Rig): Rig['joints'] => (rig.platform ? rig.joints.slice(6) : rig.joints);

/** Null: it cannot stand there. Other joints stop at their soft limits. */
function standAt(rig: Rig, x: readonly number[]): Posture | null {
  const first = rig.platform ? POSE : 0;
  const others = othersOf(rig).map(({ lo, hi }, k) => Math.min(hi, Math.max(lo, x[first + k]!)));
  if (!rig.platform) return { q: others, pose: HOME };
  const pose = x.slice(0, POSE) as unknown as Pose;
  return whatStops(rig, pose) === null ? postureAt(rig, pose, others) : null;
}

/** First steps along each coordinate; 0: what joint i holds does not depend on it. i = -1: it may depend on all. */
function stepsOf(rig: Rig, i: number): number[] {
  const joint = rig.joints[i];
  const alone = joint?.kind === 'axis' && joint.axis === null;
  const others = othersOf(rig).map((other) => {
    const matters = other === joint || (!alone && other.axis !== null) || i < 0;
    return matters ? (other.hi - other.lo) * RANGE_SHARE : 0;
  });
  return rig.platform ? [...STEPS.map((step) => (alone ? 0 : step)), ...others] : others;
}

/** Directions to step in: along each coordinate, and some of all together. */
function directionsOf(steps: readonly number[]): number[][] {
  const random = xoroshiro128plus(SEED);
  const along = steps.flatMap((step, k) =>
    step === 0 ? [] : [1, -1].map((sign) => steps.map((_, j) => (j === k ? sign * step : 0))),
  );
  if (along.length <= 2) return along;
  const drawn = Array.from({ length: DRAWN }, () => steps.map((step) => step * (2 * uniformFloat64(random) - 1)));
  return [...along, ...drawn];
}

/** Climbs from a place to one whose score no step betters. */
function climb(
  demand: Demand,
  start: Found,
  side: number,
  directions: readonly (readonly number[])[],
  score: Score,
): Found {
  const { rig } = demand;
  let best = start;
  for (let halving = 0; halving < HALVINGS; halving++) {
    for (let again = true; again;) {
      again = false;
      for (const direction of directions) {
        const x = coordinatesOf(rig, best.at).map((at, k) => at + direction[k]! / 2 ** halving);
        const at = standAt(rig, x);
        if (!at || !demand.hold(at) || demand.mechanism.side !== side) continue;
        const found = score(demand);
        if (!(found > best.score + BETTER * Math.abs(best.score))) continue;
        best = { at, score: found };
        again = true;
      }
    }
  }
  return best;
}

/** Places to begin with, home first; the other joints all at home, at the low and at the high end of their limits. */
export function startingPlaces(rig: Rig): Posture[] {
  const standing = standingPostures(rig);
  const ends = [({ lo }: Joint) => lo, ({ hi }: Joint) => hi, ({ lo, hi }: Joint) => (lo + hi) / 2];
  const at = (place: Posture, of: (joint: Joint) => number): Posture => ({
    pose: place.pose,
    q: rig.joints.map((joint, i) => (joint.kind === 'leg' ? place.q[i]! : of(joint))),
  });
  return [...standing, ...standing.flatMap((place) => ends.map((of) => at(place, of)))];
}

/** The place with the highest score that was found, from the best few of the starting places. */
function search(demand: Demand, starts: readonly Posture[], steps: readonly number[], score: Score): Found {
  // Beyond a singular pose lies where it cannot get to; the first of the starting places is home.
  const side = demand.hold(starts[0]!) ? demand.mechanism.side : 0;
  const scored = starts.map((at) => {
    const stands = demand.hold(at) && demand.mechanism.side === side;
    return { at, score: stands ? score(demand) : NaN };
  });
  const sorted = scored.filter((one) => !Number.isNaN(one.score)).sort((a, b) => b.score - a.score);
  const directions = directionsOf(steps);
  const found = sorted.slice(0, STARTS).map((start) => climb(demand, start, side, directions, score));
  return found.reduce((best, one) => (one.score > best.score ? one : best), found[0] ?? { at: starts[0]!, score: NaN });
}

/** Where joint i holds most. */
export const worstHold = (demand: Demand, starts: readonly Posture[], i: number): Posture =>
  search(demand, starts, stepsOf(demand.rig, i), ({ effort }) => Math.abs(effort[i]!)).at;

/** Where the servo that has most to hold has least, and which one that is; null: no servo's torque is known. */
export function easiestHold(
  demand: Demand,
  starts: readonly Posture[],
): { readonly at: Posture; readonly use: number; readonly joint: number } | null {
  const { at, score } = search(demand, starts, stepsOf(demand.rig, -1), (now) => -mostHeld(now).use);
  if (!(score > -Infinity)) return null;
  demand.hold(at);
  return { at, ...mostHeld(demand) };
}

function mostHeld(demand: Demand): { readonly use: number; readonly joint: number } {
  let [use, joint] = [NaN, -1];
  for (let i = 0; i < demand.effort.length; i++) {
    const share = demand.share(i);
    if (share > use || (joint < 0 && !Number.isNaN(share))) [use, joint] = [share, i];
  }
  return { use, joint };
}
