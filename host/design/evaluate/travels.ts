/**
 * How far a candidate travels from home along each component of the pose, both ways, and what stops it: the same search as
 * kinematics/travel.ts, in longer steps, each halved where a margin comes near 0 for its curvature, the stop then found by a secant
 * that keeps its bracket (Illinois; Dowell & Jarratt, BIT 11, 1971).
 */
import { type LegSet, MARGINS, PER_LEG } from './legs.ts';

/** Steps of a search, and the narrowest gap that they are split for, as in the library: a degree, or a hundredth of the reach. */
const STEP_RAD = Math.PI / 180;
const STEP_SHARE = 0.01;
const GAP = 1 / 256;
/** Steps of this search, in those. */
const LONG = 16;
/** How near a stop is pinned down, and how far behind it what stops is looked at, in those steps. */
const NEAR = 1e-8;
const BEHIND = 3e-8;
const HALF_TURN = Math.PI;
const MOST_SECANTS = 60;
/** Looks that are kept at once: the ends of a step, one for each halving from LONG to GAP (log2(16 · 256)), one to pin. */
const ROWS = 2 + 12 + 2;

export class Travels {
  /** By travel: how far, m or rad, 0 or more; what stops it (LegSet.stop), -1: nothing. */
  readonly by = new Float64Array(12);
  readonly stop = new Int32Array(12);
  /** Directions of roll, pitch and yaw, and x, y and z, in the base's frame: the rows of the mount's transposed matrix. */
  private readonly ways: Float64Array;
  private legs: LegSet;
  /** Margins of looks, a row each, and the least of each row. */
  private readonly rows = new Float64Array(ROWS * MARGINS);
  private readonly leasts = new Float64Array(ROWS);
  private axis = 0;
  private unit = 0;

  /** @param ways nine numbers, a row for each of the carrier's axes, in the base's frame. */
  constructor(ways: Float64Array, legs: LegSet) {
    this.ways = ways;
    this.legs = legs;
  }

  /** All twelve. Where something stops it at home, they are 0. */
  find(legs: LegSet): void {
    this.legs = legs;
    for (let k = 0; k < 12; k++) this.along(k);
  }

  /** Places the legs `by` along travel k. @returns whether they reach. */
  go(k: number, by: number): boolean {
    const { legs, ways } = this;
    const o = 3 * ((k >> 1) % 3);
    const way = k & 1 ? by : -by;
    const x = ways[o]!;
    const y = ways[o + 1]!;
    const z = ways[o + 2]!;
    if (k < 6) {
      level(legs.turn);
      return legs.place(way * x, way * y, way * z);
    }
    turnAbout(legs.turn, x, y, z, way);
    return legs.place(0, 0, 0);
  }

  private along(k: number): void {
    const { legs } = this;
    this.axis = k;
    const reach = legs.linear ? legs.longest : legs.crank + legs.rod;
    const unit = k < 6 ? STEP_SHARE * reach : STEP_RAD;
    const most = k < 6 ? 2.5 * reach : HALF_TURN;
    this.unit = unit;
    if (!(this.look(0, 0) >= 0)) return this.end(k, 0, legs.stop());
    let at = 0;
    while (at < most) {
      const next = Math.min(most, at + LONG * unit);
      this.look(next, 1);
      if (this.between(at, next, 0, 1, 2)) return;
      this.rows.copyWithin(0, MARGINS, 2 * MARGINS);
      this.leasts[0] = this.leasts[1]!;
      at = next;
    }
    this.end(k, most, -1);
  }

  private end(k: number, by: number, stop: number): void {
    this.by[k] = by;
    this.stop[k] = stop;
  }

  /** The least margin `by` along; all of them go into a row. */
  private look(by: number, row: number): number {
    this.go(this.axis, by);
    const least = this.legs.marginsInto(this.rows, row * MARGINS);
    this.leasts[row] = least;
    return least;
  }

  /**
   * The first stop after a, which is free, up to b. @param p, q rows of their margins; @param next the first row to write to.
   * @returns whether there is one, which is then written down.
   */
  private between(a: number, b: number, p: number, q: number, next: number): boolean {
    const { leasts } = this;
    if (b - a <= GAP * this.unit) return leasts[q]! >= 0 ? false : this.pin(a, leasts[p]!, b, leasts[q]!);
    const middle = (a + b) / 2;
    const isFree = this.look(middle, next) >= 0;
    const kind = this.compare(p, next, q);
    if (kind === CLEAR) return false;
    if (kind === CROSSED)
      return isFree ? this.pin(middle, leasts[next]!, b, leasts[q]!) : this.pin(a, leasts[p]!, middle, leasts[next]!);
    if (this.between(a, middle, p, next, next + 1)) return true;
    return isFree && this.between(middle, b, next, q, next + 1);
  }

  /**
   * Whether margins stay clear of 0, pass it once and go on falling, or neither. A leg out of reach at q has no limits and no rod ends
   * there: they run out with its reach or before.
   */
  private compare(p: number, m: number, q: number): number {
    let kind = CLEAR;
    for (let leg = 0, k = 0; leg < 6; leg++, k += PER_LEG) {
      const isLost = this.rows[q * MARGINS + k]! < 0 || this.rows[q * MARGINS + k + 1]! < 0;
      const end = k + (isLost ? 2 : PER_LEG);
      for (let n = k; n < end; n++) {
        const found = this.compareOne(p * MARGINS + n, m * MARGINS + n, q * MARGINS + n);
        if (found === NEARLY) return NEARLY;
        if (found > kind) kind = found;
      }
    }
    return kind;
  }

  private compareOne(p: number, m: number, q: number): number {
    const first = this.rows[p]!;
    const mid = this.rows[m]!;
    const last = this.rows[q]!;
    const bent = Math.abs(mid - (first + last) / 2);
    if (Math.min(first, mid, last) > 2 * bent) return CLEAR;
    return last < 0 && first > mid && mid > last && first - last > 4 * bent ? CROSSED : NEARLY;
  }

  /** a is free and b is not, and nothing is free again in between; with the least margin at each. */
  private pin(from: number, atFrom: number, to: number, atTo: number): boolean {
    let a = from;
    let b = to;
    let fa = atFrom;
    let fb = atTo;
    const near = NEAR * this.unit;
    let side = 0;
    for (let n = 0; n < MOST_SECANTS && b - a > near; n++) {
      const secant = a + ((b - a) * fa) / (fa - fb);
      // Never nearer to an end than the bracket may at last be wide, so that it closes from both sides.
      const edge = Math.min(near / 2, (b - a) / 4);
      const at = n % 8 === 7 || !(secant > a) ? (a + b) / 2 : Math.min(Math.max(secant, a + edge), b - edge);
      const least = this.look(at, ROWS - 1);
      if (least >= 0) {
        a = at;
        fa = least;
        if (side > 0) fb /= 2;
        side = 1;
      } else {
        b = at;
        fb = least;
        if (side < 0) fa /= 2;
        side = -1;
      }
    }
    return this.blame(a, b);
  }

  /** What stops it just behind b: legs that stop together do so within rounding, and the lowest is told. */
  private blame(a: number, b: number): boolean {
    const { legs, axis } = this;
    this.go(axis, a + BEHIND * this.unit);
    let stop = legs.stop();
    if (stop < 0) {
      this.go(axis, b);
      stop = legs.stop();
    }
    this.end(axis, a, stop);
    return true;
  }
}

const CLEAR = 0;
const CROSSED = 1;
const NEARLY = 2;

/** No rotation. */
export function level(m: Float64Array): void {
  m.fill(0);
  m[0] = m[4] = m[8] = 1;
}

/** Rotation by an angle about a unit vector, as axisMatrix. */
export function turnAbout(m: Float64Array, x: number, y: number, z: number, angle_rad: number): void {
  const c = Math.cos(angle_rad);
  const s = Math.sin(angle_rad);
  const k = 1 - c;
  m[0] = c + k * x * x;
  m[1] = k * x * y - s * z;
  m[2] = k * x * z + s * y;
  m[3] = k * x * y + s * z;
  m[4] = c + k * y * y;
  m[5] = k * y * z - s * x;
  m[6] = k * x * z - s * y;
  m[7] = k * y * z + s * x;
  m[8] = c + k * z * z;
}
