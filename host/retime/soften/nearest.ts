/**
 * The curve within limits that is nearest to a given one, in the sense of least squares, at evenly spaced frames: a quadratic
 * program in steps, changes of steps and values, each between two bounds.
 *
 * Source: S. Boyd, N. Parikh, E. Chu, B. Peleato, J. Eckstein, "Distributed Optimization and Statistical Learning via the
 * Alternating Direction Method of Multipliers", Foundations and Trends in Machine Learning 3(1), 2011, section 5.2 with the
 * over-relaxation of 3.4.3 (from memory).
 */
import { Pentadiagonal } from './pentadiagonal.ts';

/** Bounds of a step from frame to frame and of its change, all above 0. */
export interface StepBounds {
  readonly step: number;
  readonly plus: number;
  readonly minus: number;
}

/** Frames on either side of the free ones that stay. */
export const FIXED = 2;

const RELAXED = 1.7;
const MOST_TURNS = 6000;
/** Done where no bound is exceeded by more than this share of it. */
const NEAR_ENOUGH = 1e-3;
const LOOK_EACH = 25;

/** Rows that are to lie between bounds, with their multipliers (scaled). */
class Bounded {
  private readonly z: Float64Array;
  private readonly u: Float64Array;
  private readonly lo: (i: number) => number;
  private readonly hi: (i: number) => number;
  /** The largest share by which a row was beyond its bounds at the last turn. */
  excess = 0;

  constructor(rows: number, lo: (i: number) => number, hi: (i: number) => number) {
    this.z = new Float64Array(rows);
    this.u = new Float64Array(rows);
    this.lo = lo;
    this.hi = hi;
  }

  /** Takes row i's value, projects it and steps the multiplier; false for `isFirst`: no relaxation yet. */
  turn(i: number, row: number, isFirst: boolean, unit: number): void {
    const { z, u } = this;
    const lo = this.lo(i);
    const hi = this.hi(i);
    this.excess = Math.max(this.excess, (row - hi) / unit, (lo - row) / unit);
    const relaxed = isFirst ? row : RELAXED * row + (1 - RELAXED) * z[i]!;
    const wanted = relaxed + u[i]!;
    z[i] = Math.min(hi, Math.max(lo, wanted));
    u[i] = wanted - z[i]!;
  }

  /** What row i is drawn to at the next turn. */
  drawn(i: number): number {
    return this.z[i]! - this.u[i]!;
  }
}

/**
 * @param wanted the given curve: FIXED values that stay, the free ones, FIXED values that stay.
 * @param lo,hi bounds of each value.
 * @returns the same with the free values changed; bounds are kept to about a thousandth, if they can be kept.
 */
export function nearest(wanted: Float64Array, lo: Float64Array, hi: Float64Array, bounds: StepBounds): Float64Array {
  const n = wanted.length - 2 * FIXED;
  const x = wanted.slice();
  const { step, plus, minus } = bounds;
  const [weight1, weight2] = weightsOf(wanted, bounds);
  const matrix = new Pentadiagonal(n, 2 + 2 * weight1 + 6 * weight2, -weight1 - 4 * weight2, weight2);
  const values = new Bounded(
    n,
    (i) => lo[i + FIXED]!,
    (i) => hi[i + FIXED]!,
  );
  const steps = new Bounded(
    n + 1,
    () => -step,
    () => step,
  );
  const changes = new Bounded(
    n + 2,
    () => -minus,
    () => plus,
  );
  const accel = Math.min(plus, minus);
  const right = new Float64Array(n);
  for (let turn = 0; turn < MOST_TURNS; turn++) {
    if (turn % LOOK_EACH === 0) values.excess = steps.excess = changes.excess = 0;
    const isFirst = turn === 0;
    for (let i = 0; i < n; i++) values.turn(i, x[i + FIXED]!, isFirst, accel);
    for (let i = 0; i <= n; i++) steps.turn(i, x[i + 2]! - x[i + 1]!, isFirst, step);
    for (let i = 0; i < n + 2; i++) changes.turn(i, x[i + 2]! - 2 * x[i + 1]! + x[i]!, isFirst, accel);
    if (turn % LOOK_EACH === 0 && Math.max(values.excess, steps.excess, changes.excess) < NEAR_ENOUGH) break;
    for (let i = 0; i < n; i++) {
      right[i] =
        wanted[i + FIXED]! +
        values.drawn(i) +
        weight1 * (fixedStep(wanted, steps, i) - fixedStep(wanted, steps, i + 1)) +
        weight2 *
          (fixedChange(wanted, changes, i) -
            2 * fixedChange(wanted, changes, i + 1) +
            fixedChange(wanted, changes, i + 2));
    }
    matrix.solve(right);
    x.set(right, FIXED);
  }
  return x;
}

/** What a step's row is drawn to, less what the values that stay give to it. */
function fixedStep(wanted: Float64Array, steps: Bounded, i: number): number {
  const last = wanted.length - 2 * FIXED;
  const stays = i === 0 ? -wanted[1]! : i === last ? wanted[last + 2]! : 0;
  return steps.drawn(i) - stays;
}

/** The same of a change of steps. */
function fixedChange(wanted: Float64Array, changes: Bounded, i: number): number {
  const at = (k: number): number => (k < FIXED || k >= wanted.length - FIXED ? wanted[k]! : 0);
  return changes.drawn(i) - (at(i) - 2 * at(i + 1) + at(i + 2));
}

/**
 * How much the rows of steps and of changes weigh beside the values: such that a full swing as quick as the limits allow weighs
 * as much in all three (ours).
 */
function weightsOf(wanted: Float64Array, { plus, minus }: StepBounds): readonly [number, number] {
  const size = Math.max(...wanted) - Math.min(...wanted);
  const period = 4 * Math.sqrt(size / Math.min(plus, minus));
  const radians = Math.max(4, period / (2 * Math.PI));
  return [radians ** 2, radians ** 4];
}
