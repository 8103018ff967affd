/**
 * The points along a stretch of a stream at which its pace is decided: every frame, and points between frames where it goes
 * slowly, so that they lie about a frame apart in the time of the new stream. The new stream has a frame at each of them.
 */
import type { StoredStream } from '../stream/stored.ts';
import type { RigMotion } from './motion.ts';
import type { Whole } from './whole.ts';

/** Slower than this the differences are taken as if it were this slow: rounding would drown them. */
const SLOWEST = 0.01;
/** To see whether torque matters at all, every so many points; it does from this share of the peak use on. */
const LOOKED_AT = 16;
const NEAR = 0.6;
/** Points between two frames at most: what needs more is stretched a hundredfold. */
const MOST_BETWEEN = 4096;

export class Grid {
  readonly points: number;
  /** Stream time of each point, and the frame interval that begins at it or that it lies in. */
  readonly s: Float64Array;
  readonly interval: Int32Array;
  /** First and second derivative to s of the motion's row, point by point: as a tick sees them at the pace given. */
  readonly first: Float64Array;
  readonly second: Float64Array;
  /** What moving takes of each joint, point by point, as Loads gives it; null: not worked out. */
  terms: Float64Array | null = null;

  /**
   * @param from,to first and last frame; @param parts into how many each interval between is cut.
   */
  constructor(stream: StoredStream, from: number, to: number, parts: ArrayLike<number>, axes: number) {
    let points = 1;
    for (let f = 0; f < to - from; f++) points += parts[f]!;
    this.points = points;
    this.s = new Float64Array(points);
    this.interval = new Int32Array(points);
    this.first = new Float64Array(points * axes);
    this.second = new Float64Array(points * axes);
    let i = 0;
    for (let f = 0; f < to - from; f++) {
      const begin = stream.time(from + f);
      const length = stream.time(from + f + 1) - begin;
      for (let k = 0; k < parts[f]!; k++, i++) {
        this.s[i] = begin + (length * k) / parts[f]!;
        this.interval[i] = from + f;
      }
    }
    this.s[i] = stream.time(to);
    this.interval[i] = to;
  }

  /**
   * Works out what moving takes of the joints, if at the pace x some servo comes near what it may give. Derivatives come first.
   */
  weigh({ motion, loads, stream }: Whole, x: Float64Array): void {
    if (!loads.isKnown) return;
    const n = motion.axes.length;
    const each = 3 * motion.rig.joints.length;
    const row = new Float64Array(n);
    const weighAt = (i: number, terms: Float64Array, to: number): void => {
      if (motion.at(stream, this.s[i]!, row)) loads.terms(row, this.first, this.second, i * n, terms, to);
    };
    const one = new Float64Array(each);
    let isNear = false;
    for (let i = 0; i + 1 < this.points && !isNear; i += LOOKED_AT) {
      one.fill(0);
      weighAt(i, one, 0);
      const change = (x[i + 1]! - x[i]!) / (2 * (this.s[i + 1]! - this.s[i]!));
      isNear = loads.demand(one, 0, this.first.subarray(i * n), change, x[i]!) > NEAR;
    }
    if (!isNear) return;
    const terms = new Float64Array(this.points * each);
    for (let i = 0; i < this.points; i++) weighAt(i, terms, i * each);
    this.terms = terms;
  }

  /** Takes the derivatives, by differences over as much of s as a tick takes at the pace x. */
  derive(motion: RigMotion, stream: StoredStream, x: Float64Array): void {
    const n = motion.axes.length;
    const dt_s = 1 / motion.rig.motion.tick_hz;
    const [before, here, after] = [new Float64Array(n), new Float64Array(n), new Float64Array(n)];
    const { s, first, second } = this;
    for (let i = 0; i < this.points; i++) {
      const d = dt_s * Math.max(SLOWEST, Math.sqrt(x[i]!));
      // Out of reach between ticks, which nobody plays: taken as still there.
      const known =
        motion.at(stream, s[i]! - d, before) && motion.at(stream, s[i]!, here) && motion.at(stream, s[i]! + d, after);
      for (let k = 0, at = i * n; k < n; k++, at++) {
        first[at] = known ? (after[k]! - before[k]!) / (2 * d) : 0;
        second[at] = known ? (after[k]! - 2 * here[k]! + before[k]!) / (d * d) : 0;
      }
    }
  }
}

/** Into how many parts an interval is cut that is to take `new_s` when frames are to be `frame_s` apart. */
export const partsOf = (new_s: number, frame_s: number): number =>
  Math.max(1, Math.min(MOST_BETWEEN, Math.round(new_s / frame_s)));
