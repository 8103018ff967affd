/**
 * The curve within limits that is nearest to a given one, in the sense of least squares: a quadratic program in the control points
 * of a uniform cubic spline, one a frame. Their steps, changes of steps and values lie between bounds; so do those of the
 * spline, wherever a tick looks at it. Solved by an interior-point method, whose rounds hardly grow with the length: each is one
 * matrix of five diagonals.
 *
 * Sources (from memory): C. de Boor, "A Practical Guide to Splines", 1978 (control points bound their spline); J. Nocedal,
 * S. Wright, "Numerical Optimization", 2nd ed., 2006, section 16.6 (interior-point methods for quadratic programs).
 */
import { type Between, Bounded } from './bounded.ts';
import { Pentadiagonal } from './pentadiagonal.ts';

/** Bounds of a step from frame to frame and of its change, all above 0. */
export interface StepBounds {
  readonly step: number;
  readonly plus: number;
  readonly minus: number;
}

/** The curve asked for, frame by frame, and what bounds its nearest. */
export interface Wanted {
  /** FIXED values that stay, the free ones, FIXED values that stay. */
  readonly values: Float64Array;
  /** Bounds of each value, and of the step from each to the next; 0 lies between these. `bounds` hold beside them. */
  readonly within: Between;
  readonly steps: Between;
  /** The values that stay at this end bind nothing: the first (last) three free ones are one value at rest instead, any value. */
  readonly isSoft: { readonly begin: boolean; readonly end: boolean };
}

/** Frames on either side of the free ones that stay. */
export const FIXED = 3;

const MOST_TURNS = 80;
/** Done where no bound is exceeded by more than this share of the largest change, and no more than this is to be gained. */
const NEAR_ENOUGH = 1e-3;
const GAIN = 1e-3;
/** A step that is no step, as a share of the largest change. */
const AT_REST = 1e-5;
/** Each turn aims at this share of what is left, and at more after a short step (common practice; tried out). */
const LEAST_CENTRE = 0.03;
/** Turns in a row that came no further: there is no such curve. */
const SHORT = 1e-3;
const MOST_SHORT = 5;

/** What three neighbouring control points give to the spline at the middle one's frame. */
const spline = (points: Float64Array, middle: number): number =>
  (points[middle - 1]! + 4 * points[middle]! + points[middle + 1]!) / 6;

/** @returns the free values of the nearest curve, its bounds kept as nearly as can be; null: they could not. */
export function nearest(wanted: Wanted, bounds: StepBounds): Float64Array | null {
  const program = new Program(wanted, bounds);
  const unit = Math.min(bounds.plus, bounds.minus);
  program.begin(unit);
  for (let turn = 0, shorts = 0, share = 0; turn < MOST_TURNS && shorts < MOST_SHORT; turn++) {
    const { count, gap, excess } = program.state();
    if (excess < NEAR_ENOUGH * unit && gap < GAIN * (program.distance() + unit * unit)) return program.values();
    share = program.turn((Math.max(LEAST_CENTRE, (1 - share) ** 3) * gap) / count);
    shorts = share < SHORT ? shorts + 1 : 0;
  }
  return null;
}

class Program {
  private readonly wanted: Wanted;
  /** Control points: two that stay, the free ones, two that stay. One value at either end shaped the one beside it. */
  private readonly points: Float64Array;
  private readonly matrix: Pentadiagonal;
  private readonly right: Float64Array;
  /** By control point but the outermost: how far its spline is from the wanted value. */
  private readonly left: Float64Array;
  private readonly values_: Bounded;
  private readonly steps: Bounded;
  private readonly changes: Bounded;

  constructor(wanted: Wanted, bounds: StepBounds) {
    this.wanted = wanted;
    this.points = controls(wanted.values);
    const n = this.points.length - 4;
    this.matrix = new Pentadiagonal(n);
    this.right = new Float64Array(n);
    this.left = new Float64Array(n + 2);
    const { within } = wanted;
    this.values_ = new Bounded({ lo: within.lo.slice(FIXED, -FIXED), hi: within.hi.slice(FIXED, -FIXED) });
    this.steps = new Bounded(stepsOf(wanted, bounds));
    this.changes = new Bounded(changesOf(wanted, bounds, n + 2));
  }

  private get all(): readonly Bounded[] {
    return [this.values_, this.steps, this.changes];
  }

  begin(unit: number): void {
    const { values } = this.wanted;
    const size = values.reduce((a, b) => Math.max(a, b)) - values.reduce((a, b) => Math.min(a, b));
    this.rowsOf(this.points, 'row');
    for (const rows of this.all) rows.begin(unit, Math.max(size, unit));
  }

  state(): { readonly count: number; readonly gap: number; readonly excess: number } {
    const [values, steps, changes] = [this.values_.state(), this.steps.state(), this.changes.state()];
    return {
      count: values.count + steps.count + changes.count,
      gap: values.gap + steps.gap + changes.gap,
      excess: Math.max(values.excess, steps.excess, changes.excess),
    };
  }

  /** Half the sum of squares from the wanted curve. */
  distance(): number {
    return this.lefts().reduce((sum, x) => sum + (x * x) / 2, 0);
  }

  /** One step of Newton's method toward products of slack and multiplier that are all `centre`. @returns the share of it gone. */
  turn(centre: number): number {
    const { points, right, matrix, all } = this;
    for (const rows of all) rows.weigh(centre);
    this.fill();
    matrix.factor();
    matrix.solve(right);
    const way = new Float64Array(points.length);
    way.set(right, 2);
    this.rowsOf(way, 'change');
    const share = Math.min(...all.map((rows) => rows.longest(centre)));
    for (const rows of all) rows.go(share, centre);
    for (let i = 0; i < right.length; i++) points[i + 2]! += share * right[i]!;
    this.rowsOf(points, 'row');
    return share;
  }

  /** Writes the rows of control points, or of their change. */
  private rowsOf(points: Float64Array, into: 'row' | 'change'): void {
    const n = points.length - 4;
    const [values, steps, changes] = [this.values_[into], this.steps[into], this.changes[into]];
    for (let i = 0; i < n; i++) values[i] = points[i + 2]!;
    for (let i = 0; i <= n; i++) steps[i] = points[i + 2]! - points[i + 1]!;
    for (let i = 0; i < n + 2; i++) changes[i] = points[i + 2]! - 2 * points[i + 1]! + points[i]!;
  }

  private lefts(): Float64Array {
    const { points, left, wanted } = this;
    for (let i = 0; i < left.length; i++) left[i] = wanted.values[i + 2]! - spline(points, i + 1);
    return left;
  }

  /** Matrix and right-hand side: of the distance, and of what the bounds add. */
  private fill(): void {
    const { right, values_, steps, changes } = this;
    const { main, first, second } = this.matrix;
    const [v, s, c] = [values_.weight, steps.weight, changes.weight];
    const [pv, ps, pc] = [values_.push, steps.push, changes.push];
    const left = this.lefts();
    for (let i = 0; i < main.length; i++) {
      main[i] = 18 / 36 + v[i]! + s[i]! + s[i + 1]! + c[i]! + 4 * c[i + 1]! + c[i + 2]!;
      first[i] = 8 / 36 - s[i]! - 2 * (c[i]! + c[i + 1]!);
      second[i] = 1 / 36 + c[i]!;
      right[i] = spline(left, i + 1) - pv[i]! - (ps[i]! - ps[i + 1]!) - (pc[i]! - 2 * pc[i + 1]! + pc[i + 2]!);
    }
  }

  /** The spline at every free frame, rounding taken off. */
  values(): Float64Array {
    const { lo, hi } = this.wanted.within;
    return Float64Array.from({ length: this.points.length - 4 }, (_, i) =>
      Math.max(lo[i + FIXED]!, Math.min(hi[i + FIXED]!, spline(this.points, i + 2))),
    );
  }
}

/** Control points of a spline through the values, but for the first and the last of these: exact where its change is even. */
const controls = (values: Float64Array): Float64Array =>
  Float64Array.from(
    { length: values.length - 2 },
    (_, i) => values[i + 1]! - (values[i]! - 2 * values[i + 1]! + values[i + 2]!) / 6,
  );

/** Bounds of steps: the first leads from a point that stays to the first free one. */
function stepsOf({ steps, isSoft }: Wanted, { step, plus, minus }: StepBounds): Between {
  const lo = steps.lo.slice(FIXED - 1, -FIXED + 1).map((bound) => Math.max(-step, bound));
  const hi = steps.hi.slice(FIXED - 1, -FIXED + 1).map((bound) => Math.min(step, bound));
  const rest = AT_REST * Math.min(plus, minus);
  const soften = (outer: number, ...resting: readonly number[]): void => {
    [lo[outer], hi[outer]] = [-Infinity, Infinity];
    for (const i of resting) [lo[i], hi[i]] = [-rest, rest];
  };
  const last = lo.length - 1;
  if (isSoft.begin) soften(0, 1, 2);
  if (isSoft.end) soften(last, last - 1, last - 2);
  return { lo, hi };
}

/** Bounds of so many changes: the first and the last two look at points that stay. */
function changesOf({ isSoft }: Wanted, { plus, minus }: StepBounds, count: number): Between {
  const [lo, hi] = [new Float64Array(count).fill(-minus), new Float64Array(count).fill(plus)];
  const free = (from: number, to: number): void => {
    lo.fill(-Infinity, from, to);
    hi.fill(Infinity, from, to);
  };
  if (isSoft.begin) free(0, 2);
  if (isSoft.end) free(count - 2, count);
  return { lo, hi };
}
