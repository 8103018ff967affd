/**
 * The curve within limits that is nearest to a given one, in the sense of least squares: a quadratic program in the control points
 * of a uniform cubic spline, one a frame. Their steps, changes of steps and values lie between bounds; so do those of the
 * spline, wherever a tick looks at it.
 *
 * Sources (from memory): C. de Boor, "A Practical Guide to Splines", 1978 (control points bound their spline); S. Boyd, N. Parikh,
 * E. Chu, B. Peleato, J. Eckstein, "Distributed Optimization and Statistical Learning via the Alternating Direction Method of
 * Multipliers", Foundations and Trends in Machine Learning 3(1), 2011, section 5.2, with the over-relaxation of 3.4.3.
 */
import { Bounded } from './bounded.ts';
import { Pentadiagonal } from './pentadiagonal.ts';

/** Bounds of a step from frame to frame and of its change, all above 0. */
export interface StepBounds {
  readonly step: number;
  readonly plus: number;
  readonly minus: number;
}

/** Bounds one by one. */
export interface Between {
  readonly lo: Float64Array;
  readonly hi: Float64Array;
}

/** Frames on either side of the free ones that stay. */
export const FIXED = 3;

const MOST_TURNS = 1500;
const LOOK_EACH = 25;
/** Done where no bound is exceeded by more than this share of it. */
const NEAR_ENOUGH = 1e-3;
/** What is not better after all turns is of no use. */
const USABLE = 0.1;
/** How the bounds of values weigh beside the distance, and by what the weights of the others are found (tried out). */
const VALUES = 10;
const OF_SWING = 0.6;

/** What three neighbouring control points give to the spline at the middle one's frame. */
const spline = (points: Float64Array, middle: number): number =>
  (points[middle - 1]! + 4 * points[middle]! + points[middle + 1]!) / 6;

/**
 * @param wanted the given curve: FIXED values that stay, the free ones, FIXED values that stay.
 * @param within bounds of each value.
 * @param stepsWithin bounds of the step from each value to the next, 0 between them; `bounds` hold beside them.
 * @returns the free ones of the nearest curve, its bounds kept as nearly as can be; null: they could not.
 */
export function nearest(
  wanted: Float64Array,
  within: Between,
  stepsWithin: Between,
  bounds: StepBounds,
): Float64Array | null {
  // One value at either end gave its change to the control point beside it, and is not needed any more.
  const points = controls(wanted);
  const n = points.length - 4;
  const { step, plus, minus } = bounds;
  const [weight1, weight2] = weightsOf(wanted, bounds);
  const matrix = new Pentadiagonal(
    n,
    18 / 36 + VALUES + 2 * weight1 + 6 * weight2,
    8 / 36 - weight1 - 4 * weight2,
    1 / 36 + weight2,
  );
  const free = (all: Float64Array): Float64Array => all.subarray(FIXED, -FIXED);
  const values = new Bounded(free(within.lo), free(within.hi), Math.min(plus, minus));
  const steps = new Bounded(
    stepsWithin.lo.subarray(FIXED - 1, -FIXED + 1).map((lo) => Math.max(-step, lo)),
    stepsWithin.hi.subarray(FIXED - 1, -FIXED + 1).map((hi) => Math.min(step, hi)),
    Math.min(plus, minus),
  );
  const changes = Bounded.even(n + 2, -minus, plus);
  const still = stays(points);
  const pull = pullOf(wanted, still);
  const right = new Float64Array(n);
  for (let turn = 0, excess = Infinity; turn < MOST_TURNS || excess < USABLE; turn++) {
    for (let i = 0; i < n; i++) values.row[i] = points[i + 2]!;
    for (let i = 0; i <= n; i++) steps.row[i] = points[i + 2]! - points[i + 1]!;
    for (let i = 0; i < n + 2; i++) changes.row[i] = points[i + 2]! - 2 * points[i + 1]! + points[i]!;
    excess = Math.max(values.turn(), steps.turn(), changes.turn());
    if (excess < (turn < MOST_TURNS ? NEAR_ENOUGH : USABLE) && turn % LOOK_EACH === 0) return valuesOf(points, within);
    const [v, s, c] = [values.drawn, steps.drawn, changes.drawn];
    for (let i = 0; i <= n; i++) s[i]! -= still[i + 2]! - still[i + 1]!;
    for (let i = 0; i < n + 2; i++) c[i]! -= still[i + 2]! - 2 * still[i + 1]! + still[i]!;
    for (let i = 0; i < n; i++)
      right[i] =
        pull[i]! + VALUES * v[i]! + weight1 * (s[i]! - s[i + 1]!) + weight2 * (c[i]! - 2 * c[i + 1]! + c[i + 2]!);
    matrix.solve(right);
    points.set(right, 2);
  }
  return null;
}

/** The spline at every free frame, rounding taken off. */
const valuesOf = (points: Float64Array, { lo, hi }: Between): Float64Array =>
  Float64Array.from({ length: points.length - 4 }, (_, i) =>
    Math.max(lo[i + FIXED]!, Math.min(hi[i + FIXED]!, spline(points, i + 2))),
  );

/** Control points of a spline through the values, but for the first and the last of these: exact where its change is even. */
const controls = (values: Float64Array): Float64Array =>
  Float64Array.from(
    { length: values.length - 2 },
    (_, i) => values[i + 1]! - (values[i]! - 2 * values[i + 1]! + values[i + 2]!) / 6,
  );

/** The control points that stay, 0 where they are free. */
const stays = (points: Float64Array): Float64Array =>
  points.map((point, i) => (i < 2 || i >= points.length - 2 ? point : 0));

/** By free point: how the distance to the wanted curve draws it. */
function pullOf(wanted: Float64Array, still: Float64Array): Float64Array {
  const left = Float64Array.from({ length: still.length - 2 }, (_, i) => wanted[i + 2]! - spline(still, i + 1));
  return Float64Array.from({ length: still.length - 4 }, (_, i) => spline(left, i + 1));
}

/**
 * How much the rows of steps and of changes weigh beside the values, by how many frames a full swing takes that is as quick as
 * the limits allow.
 */
function weightsOf(wanted: Float64Array, { plus, minus }: StepBounds): readonly [number, number] {
  const size = wanted.reduce((a, b) => Math.max(a, b)) - wanted.reduce((a, b) => Math.min(a, b));
  const period = 4 * Math.sqrt(size / Math.min(plus, minus));
  const radians = Math.max(2, (OF_SWING * period) / (2 * Math.PI));
  return [radians ** 2, radians ** 4];
}
