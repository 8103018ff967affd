/**
 * The fastest pace along a path within limits: time-optimal path parameterisation by reachability analysis. Knows nothing of
 * rigs: the path parameter is s, the pace x = (ds/dt)², and its change u = d²s/dt² = ½ dx/ds; limits are rows a·u + b·x ≤ d.
 *
 * Backward, the largest pace at each point from which the next point's largest can still be kept; forward, the greatest u that
 * stays below it. Since every limit allows standing still (d ≥ 0), what can be controlled is always 0 to a largest pace, and the
 * linear programs are of one unknown: a largest x with a largest u. Linear in the number of points.
 *
 * Source: H. Pham, Q.-C. Pham, "A new approach to time-optimal path parameterization based on reachability analysis", IEEE
 * Transactions on Robotics 34(3), 2018; limits hold at both ends of each step ("first-order interpolation", section VI).
 */

/** Limits at one point: a·u + b·x ≤ d, each d ≥ 0. */
export class Rows {
  count = 0;
  /** The point that they hold at; -1: none. */
  point = -1;
  a = new Float64Array(64);
  b = new Float64Array(64);
  d = new Float64Array(64);

  add(a: number, b: number, d: number): void {
    const k = this.count++;
    if (k === this.a.length) this.grow();
    this.a[k] = a;
    this.b[k] = b;
    this.d[k] = d;
  }

  /** The rows of another, in place of its own. */
  copy({ a, b, d, count }: Rows): void {
    while (this.a.length < count) this.grow();
    for (let k = 0; k < count; k++) {
      this.a[k] = a[k]!;
      this.b[k] = b[k]!;
      this.d[k] = d[k]!;
    }
    this.count = count;
  }

  /** Adds another's rows as they bound a pace that has changed by u·twice. */
  addMoved({ a, b, d, count }: Rows, twice: number): void {
    while (this.a.length < this.count + count) this.grow();
    for (let k = 0, o = this.count; k < count; k++, o++) {
      this.a[o] = a[k]! + twice * b[k]!;
      this.b[o] = b[k]!;
      this.d[o] = d[k]!;
    }
    this.count += count;
  }

  private grow(): void {
    for (const key of ['a', 'b', 'd'] as const) {
      const larger = new Float64Array(2 * this[key].length);
      larger.set(this[key]);
      this[key] = larger;
    }
  }
}

/** A path cut into steps, point by point. */
export interface PaceProblem {
  readonly points: number;
  /** Step from point i to the next, in units of s; above 0. */
  step(i: number): number;
  /** Largest x at point i; above 0. */
  cap(i: number): number;
  /** Adds the limits at point i. */
  rows(i: number, out: Rows): void;
}

/** The fastest pace along one path, u constant between its points; found anew where limits change, at no cost elsewhere. */
export class FastestPace {
  /** The pace at every point; and where the last solve changed it. */
  readonly x: Float64Array;
  readonly moved: Marks;
  private readonly problem: PaceProblem;
  /** The largest pace at every point from which the next point's can be kept; and where the last solve changed it. */
  private readonly most: Float64Array;
  private readonly eased: Marks;
  /** Limits at two points, at a step's start and end, and which points they are; and those of the step. */
  private here = new Rows();
  private next = new Rows();
  private readonly both = new Rows();

  constructor(problem: PaceProblem) {
    this.problem = problem;
    this.x = new Float64Array(problem.points);
    this.most = new Float64Array(problem.points);
    this.moved = new Marks(problem.points);
    this.eased = new Marks(problem.points);
  }

  /**
   * Finds the pace.
   * @param first the pace wanted at the start; what comes out is lower where the limits do not allow it.
   * @param changed points whose limits are others than at the last solve: all of them at the first.
   */
  solve(first: number, changed: Marks): void {
    this.here.point = -1;
    this.next.point = -1;
    this.backward(changed);
    this.forward(first, changed);
  }

  private backward(changed: Marks): void {
    const { problem, most, eased, both } = this;
    const end = problem.points - 1;
    eased.clear();
    for (let i = changed.last; i >= 0; i--) {
      const isNew = changed.at[i] === 1 || (i < end && (changed.at[i + 1] === 1 || eased.at[i + 1] === 1));
      if (!isNew && i < changed.first) return;
      if (!isNew) continue;
      const before = most[i]!;
      if (i < end) this.step(i);
      most[i] = largestPace(i < end ? both : this.limitsAt(i), problem.cap(i));
      if (most[i] !== before) eased.add(i);
    }
  }

  private forward(first: number, changed: Marks): void {
    const { problem, most, eased, x, moved, both } = this;
    moved.clear();
    const move = (i: number, to: number): void => {
      if (x[i] === to) return;
      x[i] = to;
      moved.add(i);
    };
    move(0, Math.min(first, most[0]!));
    const last = Math.max(changed.last, eased.last);
    for (let i = moved.at[0] === 1 ? 0 : Math.max(0, Math.min(changed.first, eased.first) - 1); i + 1 < x.length; i++) {
      const isNew = changed.at[i] === 1 || changed.at[i + 1] === 1 || eased.at[i + 1] === 1 || moved.at[i] === 1;
      if (!isNew && i > last) return;
      if (!isNew) continue;
      this.step(i);
      const reached = x[i]! + 2 * problem.step(i) * largestChange(both, x[i]!);
      move(i + 1, Math.min(most[i + 1]!, Math.max(0, reached)));
    }
  }

  private limitsAt(i: number): Rows {
    this.here.point = -1;
    return this.fill(this.here, i);
  }

  private fill(rows: Rows, point: number): Rows {
    if (rows.point === point) return rows;
    rows.count = 0;
    rows.point = point;
    this.problem.rows(point, rows);
    return rows;
  }

  /** Puts into `both` what holds of x and u at point i: limits there, limits at the next, and a pace there of 0 to the most. */
  private step(i: number): void {
    const { problem, both } = this;
    // Going backward the start of the last step is the end of this one, going forward the other way round.
    if (this.here.point === i + 1 || this.next.point === i) [this.here, this.next] = [this.next, this.here];
    this.fill(this.here, i);
    this.fill(this.next, i + 1);
    const { here, next } = this;
    const twice = 2 * problem.step(i);
    both.copy(here);
    both.addMoved(next, twice);
    both.add(twice, 1, this.most[i + 1]!);
    both.add(-twice, -1, 0);
  }
}

/** An |a| below this share of |b| bounds x alone. */
const FLAT = 1e-12;
const MOST_TURNS = 64;

/**
 * The largest x, 0 to cap, for which some u keeps all rows. The room for u, highest less lowest, is concave in x and not
 * negative at 0: Newton's method from the right follows its straight pieces down to the root, in a few turns.
 */
export function largestPace(rows: Rows, cap: number): number {
  const { a, b, d, count } = rows;
  let x = cap;
  for (let k = 0; k < count; k++) {
    if (isFlat(a[k]!, b[k]!) && b[k]! * x > d[k]!) x = d[k]! / b[k]!;
  }
  for (let turn = 0; turn < MOST_TURNS; turn++) {
    let high = Infinity;
    let low = -Infinity;
    let p = -1;
    let q = -1;
    for (let k = 0; k < count; k++) {
      const ak = a[k]!;
      const bk = b[k]!;
      if (isFlat(ak, bk)) continue;
      const u = (d[k]! - bk * x) / ak;
      if (ak > 0 && u < high) {
        high = u;
        p = k;
      } else if (ak < 0 && u > low) {
        low = u;
        q = k;
      }
    }
    if (high >= low || p < 0 || q < 0) return x;
    // Where the two rows meet: (d - b x)/a of one is that of the other.
    const level = d[p]! / a[p]! - d[q]! / a[q]!;
    const fall = b[p]! / a[p]! - b[q]! / a[q]!;
    const root = level / fall;
    // Rounding: no further down to go.
    if (!(root < x)) return x;
    x = Math.max(0, root);
  }
  return x;
}

/** Whether a row bounds x alone. */
const isFlat = (a: number, b: number): boolean => Math.abs(a) <= FLAT * Math.abs(b);

/** The largest u at a pace x; 0 when nothing bounds it from above. */
function largestChange({ a, b, d, count }: Rows, x: number): number {
  let most = Infinity;
  for (let k = 0; k < count; k++) {
    const ak = a[k]!;
    const bk = b[k]!;
    if (!(ak > 0) || isFlat(ak, bk)) continue;
    const u = (d[k]! - bk * x) / ak;
    if (u < most) most = u;
  }
  return most === Infinity ? 0 : most;
}

export class Marks {
  /** 1 where marked. */
  readonly at: Uint8Array;
  /** The first and the last mark; length and -1 when there is none. */
  first: number;
  last = -1;

  constructor(points: number) {
    this.at = new Uint8Array(points);
    this.first = points;
  }

  add(i: number): void {
    this.at[i] = 1;
    if (i < this.first) this.first = i;
    if (i > this.last) this.last = i;
  }

  addAll(): this {
    this.at.fill(1);
    this.first = 0;
    this.last = this.at.length - 1;
    return this;
  }

  addOther({ at, first, last }: Marks): void {
    for (let i = first; i <= last; i++) if (at[i] === 1) this.add(i);
  }

  clear(): void {
    this.at.fill(0, this.first, this.last + 1);
    this.first = this.at.length;
    this.last = -1;
  }
}
