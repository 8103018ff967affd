/**
 * From a place where a joint holds much into the corner nearby where it holds most. What stops a platform (soft limits, reach,
 * rod ends) is a wall given by a margin that changes smoothly (physics/margins.ts), and efforts are smooth, so that an
 * interior-point method finds corners of curved walls in a few steps: it maximises effort + µ·Σ log(margin) by Newton's method,
 * its second derivatives those of the walls taken as flat, with µ made smaller and smaller (Boyd & Vandenberghe, Convex
 * Optimization, 11.3; here nothing is convex, so a corner nearby is found, not the highest of all).
 */
import { MARGINS, marginsInto } from '../physics/kinematics/margins.ts';
import { type Posture, postureAt } from '../physics/dynamics/places.ts';
import { solveSymmetric } from '../physics/dynamics/solve-symmetric.ts';
import type { Joint, Pose, Rig } from '../rig/rig.ts';
import type { Climber, Found } from './climb.ts';

const POSE = 6;
/** What counts as much along each pose component as a joint's whole range: mm, rad. */
const SCALE = [10, 10, 10, 0.15, 0.15, 0.15];
/** Weights of the walls, against the effort at the start: 7 walls that meet cost 7 times the last, 0.3 % here. */
const WEIGHTS = [3e-2, 8e-3, 2e-3, 5e-4];
const STEPS = 5;
const BACKTRACKS = 6;
/** Steps of the differences, in scaled coordinates; efforts come with some 1e-12 of rounding. */
const H = 1e-5;
/** A step that gains less than this share of the walls' weight is the last. */
const GAIN = 1e-2;
/** So far the start is drawn in from its walls, the first that is within all of them. */
const DRAWN_IN = [0.97, 0.9, 0.8];
/** Keeps the walls' second derivatives definite where no wall is near. */
const A_LITTLE = 1e-6;

/** A place in scaled coordinates, its margins and its effort toward `sign`. */
interface Point {
  readonly x: readonly number[];
  readonly margins: Float64Array;
  readonly effort: number;
  readonly at: Posture;
}

/** The search of one joint's corner from one place of a rig with a platform. */
class Corner {
  private readonly climber: Climber;
  private readonly rig: Rig;
  private readonly joint: number;
  private readonly from: Posture;
  /** Joints behind the legs that have a part in what it holds. */
  private readonly free: readonly number[];
  private readonly n: number;
  private readonly sign: number;
  private readonly size: number;
  /** Of the margins' logarithms along each coordinate; the gradient, then Newton's step; the second derivatives. */
  private readonly slopes: Float64Array;
  private readonly gradient: Float64Array;
  private readonly matrix: Float64Array;

  constructor(climber: Climber, { at, score }: Found, joint: number) {
    const { rig } = climber.demand;
    this.climber = climber;
    this.rig = rig;
    this.joint = joint;
    this.from = at;
    this.free = rig.joints.flatMap(({ axis }, k) => (axis ? [k] : []));
    const n = POSE + this.free.length;
    this.n = n;
    this.slopes = new Float64Array(n * (MARGINS + 2 * this.free.length));
    this.gradient = new Float64Array(n);
    this.matrix = new Float64Array(n * n);
    climber.holds(at);
    this.sign = climber.demand.effort[joint]! < 0 ? -1 : 1;
    this.size = Math.max(score, 1e-12);
  }

  find(): Found | null {
    let point = this.start();
    if (!point) return null;
    for (const weight of WEIGHTS) {
      for (let step = 0; step < STEPS; step++) {
        const next = this.step(point, weight);
        if (!next) break;
        const isLast = this.value(next, weight) - this.value(point, weight) < GAIN * weight;
        point = next;
        if (isLast) break;
      }
    }
    return { at: point.at, score: point.effort * this.size };
  }

  private start(): Point | null {
    const { pose, q } = this.from;
    for (const share of DRAWN_IN) {
      const others = this.free.map((k) => 0.5 + share * (shareOf(this.rig.joints[k]!, q[k]!) - 0.5));
      const point = this.pointAt([...pose.map((value, k) => (share * value) / SCALE[k]!), ...others]);
      if (point && point.margins.every((margin) => margin > 0)) return point;
    }
    return null;
  }

  /** Null: out of reach, singular, or beyond a singular pose. */
  private pointAt(x: readonly number[]): Point | null {
    const { rig, free, climber } = this;
    const pose = SCALE.map((scale, k) => scale * x[k]!) as unknown as Pose;
    const others = this.from.q.slice(POSE);
    const margins = new Float64Array(MARGINS + 2 * free.length);
    marginsInto(rig, pose, margins);
    free.forEach((k, f) => {
      const { lo, hi } = rig.joints[k]!;
      const share = x[POSE + f]!;
      others[k - POSE] = lo + share * (hi - lo);
      margins[MARGINS + 2 * f] = share;
      margins[MARGINS + 2 * f + 1] = 1 - share;
    });
    const at = postureAt(rig, pose, others);
    if (!at || !climber.holds(at)) return null;
    return { x, margins, at, effort: (this.sign * climber.demand.effort[this.joint]!) / this.size };
  }

  private value({ effort, margins }: Point, weight: number): number {
    let sum = effort;
    for (const margin of margins) {
      if (!(margin > 0)) return -Infinity;
      sum += weight * Math.log(margin);
    }
    return sum;
  }

  /** A point with a larger value; null: none was found. */
  private step(point: Point, weight: number): Point | null {
    const way = this.direction(point, weight);
    if (!way) return null;
    const now = this.value(point, weight);
    for (let k = 0, by = 1; k < BACKTRACKS; k++, by /= 3) {
      const next = this.pointAt(point.x.map((value, j) => value + by * way[j]!));
      if (next && this.value(next, weight) > now) return next;
    }
    return null;
  }

  /** Newton's step. Null: a place nearby has no answer. */
  private direction({ x, margins, effort }: Point, weight: number): Float64Array | null {
    const { n, slopes, gradient, matrix } = this;
    const m = margins.length;
    for (let k = 0; k < n; k++) {
      const near = this.pointAt(x.with(k, x[k]! + H));
      if (!near) return null;
      let sum = 0;
      // Of log(margin).
      for (let c = 0; c < m; c++) sum += slopes[m * k + c] = (near.margins[c]! - margins[c]!) / (H * margins[c]!);
      gradient[k] = (near.effort - effort) / H + weight * sum;
    }
    for (let i = 0; i < n; i++)
      for (let j = 0; j <= i; j++) {
        let sum = 0;
        for (let c = 0; c < m; c++) sum += slopes[m * i + c]! * slopes[m * j + c]!;
        matrix[n * i + j] = weight * sum + (i === j ? A_LITTLE : 0);
      }
    return solveSymmetric(matrix, gradient, n) ? gradient : null;
  }
}

const shareOf = ({ lo, hi }: Joint, at: number): number => (at - lo) / (hi - lo);

/** The corner near a place of a rig with a platform; the place itself where none is better. */
export function cornerNear(climber: Climber, start: Found, joint: number): Found {
  const found = new Corner(climber, start, joint).find();
  return found && found.score > start.score ? found : start;
}
