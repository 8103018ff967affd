/**
 * Climbing from one place of a rig to better ones nearby: in steps of the joints themselves, along each alone and along some
 * drawn for all together, each within its soft limits. The legs' soft limits are then the edges that a climb goes along, where
 * in the pose they are curved. Where else it stops, at a rod end, it only comes close: `corner.ts` goes on from there.
 */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator';
import { ForwardSolver, type MutablePose } from '../physics/kinematics/forward.ts';
import { whatStopsLegs } from '../physics/kinematics/inverse.ts';
import { type Posture, homePosture } from '../physics/dynamics/places.ts';
import { HOME, type Pose, type Rig } from '../rig/rig.ts';
import type { Demand } from './demand.ts';

/** A place, and how good it is: larger is better. */
export interface Found {
  readonly at: Posture;
  readonly score: number;
}

/** Of the place that the demand holds at; NaN counts for nothing. */
export type Score = (demand: Demand) => number;

/** Sizes of steps, as shares of each joint's range: `first`, then half of it, so many in all. */
export interface Steps {
  readonly first: number;
  readonly sizes: number;
  /** Directions drawn at each size, besides each joint's own. */
  readonly drawn: number;
}

/** Rounds at one size of step: what climbs on after so many is going along a ridge too fine to matter. */
const ROUNDS = 20;
const SEED = 5;
/** The way from home to a corner of the soft limits, in so many strides, the last one halved so often. */
const STRIDES = 8;
const HALVINGS = 6;

export class Climber {
  readonly demand: Demand;
  private readonly rig: Rig;
  private readonly solver: ForwardSolver | null;
  private readonly side: number;
  private readonly random: RandomGenerator = xoroshiro128plus(SEED);

  constructor(demand: Demand) {
    const { rig } = demand;
    const home = homePosture(rig);
    this.demand = demand;
    this.rig = rig;
    this.solver = rig.platform && new ForwardSolver(rig.platform);
    this.side = demand.hold(home) ? demand.mechanism.side : 0;
  }

  /** Holds there; false where it does not, or where it cannot get to: beyond a singular pose. */
  holds(at: Posture): boolean {
    return this.demand.hold(at) && (this.side === 0 || this.demand.mechanism.side === this.side);
  }

  /** The place with the joints at q, from one nearby; null: it cannot stand there. */
  private standAt(q: readonly number[], near: Pose): Posture | null {
    if (!this.solver) return { q, pose: HOME };
    const pose: MutablePose = [...near];
    if (!this.solver.solve(q, near, pose) || this.solver.flipped) return null;
    return whatStopsLegs(this.rig, q, pose) === null ? { q, pose } : null;
  }

  /** Climbs in the joints given by their indices. */
  climb(start: Found, joints: readonly number[], { first, sizes, drawn }: Steps, score: Score): Found {
    let best = start;
    for (let k = 0; k < sizes; k++)
      for (let round = 0; round < ROUNDS; round++) {
        const next = this.round(best, this.directions(joints, first / 2 ** k, drawn), score);
        if (next === best) break;
        best = next;
      }
    return best;
  }

  /** Tries each direction once, from the best so far. */
  private round(start: Found, directions: readonly (readonly number[])[], score: Score): Found {
    const { joints } = this.rig;
    let best = start;
    for (const direction of directions) {
      const here = best.at.q;
      const q = here.map((at, k) => Math.min(joints[k]!.hi, Math.max(joints[k]!.lo, at + direction[k]!)));
      if (q.every((at, k) => at === here[k])) continue;
      const at = this.standAt(q, best.at.pose);
      if (!at || !this.holds(at)) continue;
      const found = score(this.demand);
      if (found > best.score + BETTER * Math.abs(best.score)) best = { at, score: found };
    }
    return best;
  }

  private directions(joints: readonly number[], size: number, drawn: number): number[][] {
    const all = this.rig.joints.map(({ lo, hi }, k) => (joints.includes(k) ? (hi - lo) * size : 0));
    const along = joints.flatMap((k) => [1, -1].map((sign) => all.map((step, j) => (j === k ? sign * step : 0))));
    if (joints.length < 2) return along;
    const one = (): number[] => all.map((step) => step * (2 * uniformFloat64(this.random) - 1));
    return [...along, ...Array.from({ length: drawn }, one)];
  }

  /** Toward the 64 corners of the legs' soft limits, as far from home as the platform stands; none without one. */
  corners(): Posture[] {
    if (!this.solver) return [];
    return Array.from({ length: 64 }, (_, corner) => this.toward(corner));
  }

  private toward(corner: number): Posture {
    const home = homePosture(this.rig);
    const end = this.rig.joints.map(({ lo, hi }, i) => (i > 5 ? home.q[i]! : (corner >> i) & 1 ? hi : lo));
    let [at, done, stride] = [home, 0, 1 / STRIDES];
    for (let halved = 0; done < 1 && halved <= HALVINGS;) {
      const share = Math.min(1, done + stride);
      const next = this.standAt(
        home.q.map((from, i) => from + share * (end[i]! - from)),
        at.pose,
      );
      if (next) [at, done] = [next, share];
      else [stride, halved] = [stride / 2, halved + 1];
    }
    return at;
  }
}

/** A step must better the score by this share, or it is rounding. */
const BETTER = 1e-6;
