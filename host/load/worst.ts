/**
 * The places within the soft limits where a joint holds most, and where all hold most easily: places that the platform can
 * stand in are tried, for all joints at once; from the best of them that lie apart a climb begins, and the best of these climbs
 * go on into the corners of what it can reach, where the hardest places lie. Seeded, so that it finds the same every time.
 * Found, not proven to be the worst.
 */
import { homePosture, type Posture, standingPostures } from '../physics/dynamics/places.ts';
import type { Joint, Rig } from '../rig/rig.ts';
import { Climber, type Found, type Score, type Steps } from './climb.ts';
import { cornerNear } from './corner.ts';
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

/** Starts of a joint's search, half of them pushing each way; how many of them go on to the corners. */
const STARTS = 16;
const CORNERS = 8;
/** Starts lie apart by this share of some joint's range. */
const APART = 0.1;
/** To come near, with the platform; then to finish. Of a joint that stands alone, or without a platform: all at once. */
const NEAR: Steps = { first: 0.25, sizes: 2, drawn: 2 };
const FINE: Steps = { first: 0.02, sizes: 4, drawn: 4 };
const WHOLE: Steps = { first: 0.25, sizes: 10, drawn: 16 };
/** Places to climb to the easiest from. */
const EASY_STARTS = 4;

/** A place to begin with, and what each joint holds there. */
interface Start {
  readonly at: Posture;
  readonly effort: Float64Array;
}

/** The searches of one rig. */
export class HoldSearch {
  private readonly climber: Climber;
  private readonly rig: Rig;
  private readonly starts: readonly Start[];

  constructor(demand: Demand) {
    const climber = new Climber(demand);
    this.climber = climber;
    this.rig = demand.rig;
    this.starts = startingPlaces(climber).flatMap((at) =>
      climber.holds(at) ? [{ at, effort: demand.effort.slice() }] : [],
    );
  }

  /** Where joint i holds most. */
  worst(i: number): Posture {
    const { climber, rig } = this;
    const { kind, axis } = rig.joints[i]!;
    const isAlone = kind === 'axis' && axis === null;
    const joints = isAlone ? [i] : placed(rig);
    const score: Score = ({ effort }) => Math.abs(effort[i]!);
    const starts = this.apart(i, joints);
    // Where no place that it can stand at is known, it stands at home.
    if (starts.length === 0) return homePosture(rig);
    if (isAlone || !rig.platform) return best(starts.map((start) => climber.climb(start, joints, WHOLE, score))).at;
    const near = starts.map((start) => climber.climb(start, joints, NEAR, score)).sort((a, b) => b.score - a.score);
    const corners = near.slice(0, CORNERS).map((found) => cornerNear(climber, found, i));
    return climber.climb(best(corners), joints, FINE, score).at;
  }

  /** The best places of joint i to begin with, apart from each other. */
  private apart(i: number, joints: readonly number[]): Found[] {
    const apart = ({ at }: Found, other: Found): boolean =>
      joints.some((k) => {
        const { lo, hi } = this.rig.joints[k]!;
        return Math.abs(at.q[k]! - other.at.q[k]!) > APART * (hi - lo);
      });
    const pushing = (sign: 1 | -1): Found[] => {
      const all = this.starts.map(({ at, effort }) => ({ at, score: sign * effort[i]! }));
      const picked: Found[] = [];
      for (const one of all.filter(({ score }) => score >= 0).sort((a, b) => b.score - a.score)) {
        if (picked.length === STARTS / 2) break;
        if (picked.every((other) => apart(one, other))) picked.push(one);
      }
      return picked;
    };
    return [...pushing(1), ...pushing(-1)];
  }

  /**
   * Where the servo that has most to hold has least, and which one that is; null: no servo's torque is known.
   * @param asked a place to begin with, besides those of the search.
   */
  easiest(asked: Posture): { readonly at: Posture; readonly use: number; readonly joint: number } | null {
    const { climber, rig, starts } = this;
    const { demand } = climber;
    const score: Score = (now) => -mostHeld(now).use;
    const scored = [asked, ...starts.map(({ at }) => at)].flatMap((at) =>
      climber.holds(at) ? [{ at, score: score(demand) }] : [],
    );
    const sorted = scored.filter((one) => !Number.isNaN(one.score)).sort((a, b) => b.score - a.score);
    if (sorted.length === 0) return null;
    const all = rig.joints.map((_, k) => k);
    const { at } = best(sorted.slice(0, EASY_STARTS).map((start) => climber.climb(start, all, WHOLE, score)));
    demand.hold(at);
    return { at, ...mostHeld(demand) };
  }
}

const best = (found: readonly Found[]): Found => found.reduce((most, one) => (one.score > most.score ? one : most));

/** Joints with a place in space, by their indices: what each of them holds may depend on all. */
const placed = ({ joints }: Rig): number[] =>
  joints.flatMap(({ kind, axis }, k) => (kind === 'leg' || axis !== null ? [k] : []));

/** Home first; then with the other joints all at the low end of their soft limits, the high end, the middle. */
function startingPlaces(climber: Climber): Posture[] {
  const { rig } = climber.demand;
  const standing = standingPostures(rig);
  const ends = [({ lo }: Joint) => lo, ({ hi }: Joint) => hi, ({ lo, hi }: Joint) => (lo + hi) / 2];
  const at = (place: Posture, of: (joint: Joint) => number): Posture => ({
    pose: place.pose,
    q: rig.joints.map((joint, i) => (joint.kind === 'leg' ? place.q[i]! : of(joint))),
  });
  return [...standing, ...[...standing, ...climber.corners()].flatMap((place) => ends.map((of) => at(place, of)))];
}

function mostHeld(demand: Demand): { readonly use: number; readonly joint: number } {
  let [use, joint] = [NaN, -1];
  for (let i = 0; i < demand.effort.length; i++) {
    const share = demand.share(i);
    if (share > use || (joint < 0 && !Number.isNaN(share))) [use, joint] = [share, i];
  }
  return { use, joint };
}
