/**
 * How a stroke goes along its way: never faster than it went there, as fast as its limits allow otherwise. With one joint moving in
 * one direction the fastest pace within limits is that of two passes: forward as it can speed up, backward as it can brake.
 *
 * Source of the two passes: J. Bobrow, S. Dubowsky, J. Gibson, "Time-optimal control of robotic manipulators along specified
 * paths", International Journal of Robotics Research 4(3), 1985, for one degree of freedom (from memory).
 */
import type { Bounds } from '../../physics/servo/limits.ts';
import type { Stroke } from './stroke.ts';

/** Pieces that the way of a short stroke is cut into at least. */
const FEWEST = 32;

/** Shares of the limits that a stroke may use. */
export interface Shares {
  readonly speed: number;
  readonly accel: number;
}

export class Law {
  readonly length_s: number;
  /** When half of the way is done, s from the stroke's begin. */
  readonly middle_s: number;
  /** By point: the way done, the speed there, and when, s from the stroke's begin. */
  private readonly way: Float64Array;
  private readonly speed: Float64Array;
  private readonly at_s: Float64Array;

  /** @param shares null: as the stroke goes by itself, whatever the limits. */
  constructor(values: Float64Array, stroke: Stroke, step_s: number, bounds: Bounds, shares: Shares | null) {
    const parts = Math.max(1, Math.ceil(FEWEST / (stroke.to - stroke.from)));
    this.way = wayOf(values, stroke, parts);
    const piece_s = step_s / parts;
    const own = speedsOf(this.way, piece_s);
    this.speed = own.slice();
    if (shares) limit(this.way, this.speed, stroke.sign, bounds, shares);
    this.at_s = new Float64Array(own.length);
    for (let i = 0; i + 1 < own.length; i++) {
      const isOwn = this.speed[i] === own[i] && this.speed[i + 1] === own[i + 1];
      const takes_s = (2 * (this.way[i + 1]! - this.way[i]!)) / (this.speed[i]! + this.speed[i + 1]!);
      this.at_s[i + 1] = this.at_s[i]! + (isOwn ? piece_s : Math.max(piece_s, takes_s));
    }
    this.length_s = this.at_s.at(-1)!;
    this.middle_s = this.halfway_s();
  }

  /** When half of the way is done. */
  private halfway_s(): number {
    const half = this.way.at(-1)! / 2;
    let [lo, hi] = [0, this.length_s];
    for (let k = 0; k < 50; k++) {
      const middle_s = (lo + hi) / 2;
      if (this.at(middle_s) < half) lo = middle_s;
      else hi = middle_s;
    }
    return lo;
  }

  /** The way done so many seconds after its begin. */
  at(since_s: number): number {
    const { way, speed, at_s } = this;
    const last = way.length - 1;
    if (since_s <= 0) return 0;
    if (since_s >= at_s[last]!) return way[last]!;
    let [lo, hi] = [0, last];
    while (hi - lo > 1) {
      const middle = (lo + hi) >> 1;
      if (at_s[middle]! <= since_s) lo = middle;
      else hi = middle;
    }
    const u = (since_s - at_s[lo]!) / (at_s[hi]! - at_s[lo]!);
    const [v0, v1] = [speed[lo]!, speed[hi]!];
    // Constant acceleration between two points.
    return way[lo]! + ((way[hi]! - way[lo]!) * u * (2 * v0 + (v1 - v0) * u)) / (v0 + v1);
  }
}

/** The way done at each point, from 0; every step cut into so many equal parts. */
function wayOf(values: Float64Array, { from, to, sign }: Stroke, parts: number): Float64Array {
  const way = new Float64Array((to - from) * parts + 1);
  for (let k = 1; k < way.length; k++) {
    const i = from + Math.floor(k / parts);
    const rest = k % parts === 0 ? 0 : ((values[i + 1]! - values[i]!) * (k % parts)) / parts;
    way[k] = sign * (values[i]! + rest - values[from]!);
  }
  return way;
}

/** Speeds at the points; it begins and ends at rest. */
function speedsOf(way: Float64Array, piece_s: number): Float64Array {
  const speeds = new Float64Array(way.length);
  for (let i = 1; i + 1 < way.length; i++) speeds[i] = (way[i + 1]! - way[i - 1]!) / (2 * piece_s);
  return speeds;
}

function limit(way: Float64Array, speed: Float64Array, sign: 1 | -1, bounds: Bounds, shares: Shares): void {
  const [up, gone, down] =
    sign > 0 ? [bounds.plus, bounds.plus_gone, bounds.minus] : [bounds.minus, bounds.minus_gone, bounds.plus];
  // No stroke reaches a speed at which plus is gone.
  const most = shares.speed * Math.min(bounds.speed, shares.accel * gone);
  const reached = (v: number, accel: number, i: number): number =>
    Math.sqrt(v * v + 2 * accel * (way[i + 1]! - way[i]!));
  for (let i = 0; i + 1 < way.length; i++) {
    const v = speed[i]!;
    // A limit that fades is lowest at the step's end: found from above in two turns.
    let next = v;
    for (let turn = 0; turn < 2; turn++) next = reached(v, Math.max(0, shares.accel - next / gone) * up, i);
    speed[i + 1] = Math.min(speed[i + 1]!, most, next);
  }
  for (let i = way.length - 2; i >= 0; i--)
    speed[i] = Math.min(speed[i]!, reached(speed[i + 1]!, shares.accel * down, i));
}
