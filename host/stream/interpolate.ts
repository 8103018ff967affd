/**
 * What a stream asks for between its frames: a piecewise cubic Hermite with slopes limited so that it is monotone wherever
 * the frames are, component by component, f64. The controller does the same in f32. It never overshoots a frame, passes
 * through every frame, and its slope is continuous; it starts and ends at rest.
 *
 * Secants s_i = (p_{i+1} - p_i) / (t_{i+1} - t_i). At a frame between two others: three-point derivative, limited as below.
 * At the first and last frame: 0. Before the first and after the last: their values.
 *
 * Source: F. N. Fritsch, R. E. Carlson, "Monotone piecewise cubic interpolation", SIAM J. Numer. Anal. 17(2), 1980: slopes of
 * the secant's sign and at most three times the secant, at both ends of an interval, are sufficient.
 */
import type { Frame } from './parse.ts';

/** Pose components before the joints in every row of values. */
const POSE = 6;
/** Frames kept before the store first grows; a power of two: frame numbers are masked with it. */
const FIRST_ROOM = 16;

/**
 * Slope at a frame between two others.
 * @param before_s,after_s lengths of the intervals before and after it; @param s0,s1 their secants
 */
export function limitedSlope(before_s: number, s0: number, after_s: number, s1: number): number {
  if (s0 * s1 <= 0) return 0;
  const slope = (after_s * s0 + before_s * s1) / (before_s + after_s);
  const most = 3 * Math.min(Math.abs(s0), Math.abs(s1));
  return slope > most ? most : slope < -most ? -most : slope;
}

/**
 * Evaluates a stream at times that never decrease. Push frames in order until `covers(t_s)`, then `evaluate`; after the last
 * frame, `end`. Keeps the frames from the one before the current interval on, and may be fed far ahead.
 */
export class Interpolant {
  /** Numbers in a row of values: pose (mm, rad), then the rig's joints but the legs (rad). */
  readonly size: number;
  /** Frames that fit; a power of two. Frame number n is at n modulo this, in `times` and `rows`. */
  private room = FIRST_ROOM;
  private times = new Float64Array(FIRST_ROOM);
  private rows: Float64Array;
  /** Frame numbers: the oldest kept, and one past the newest. */
  private oldest = 0;
  private next = 0;
  private ended = false;
  private latest_s = -Infinity;
  /** The interval in hand: number of its first frame (-1: none), length, and p0, m0, c2, c3 of each component. */
  private interval = -1;
  private length_s = 1;
  private readonly cubic: Float64Array;
  /** Slopes at the interval's second frame, which is the next interval's first. */
  private readonly slopes: Float64Array;

  /** @param jointCount how many joints the rig has but the legs */
  constructor(jointCount: number) {
    this.size = POSE + jointCount;
    this.rows = new Float64Array(FIRST_ROOM * this.size);
    this.cubic = new Float64Array(4 * this.size);
    this.slopes = new Float64Array(this.size);
  }

  /** The next frame; times must increase, as a checked stream's do. */
  push(frame: Frame): void {
    if (this.next - this.oldest === this.room) this.grow();
    const { rows, size } = this;
    const slot = this.next & (this.room - 1);
    const from = slot * size;
    this.times[slot] = frame.t_s;
    // Plain loops: the built-in copy of a plain array costs ten times as much.
    for (let k = 0; k < POSE; k += 1) rows[from + k] = frame.pose[k]!;
    for (let k = 0; k < frame.joints.length; k += 1) rows[from + POSE + k] = frame.joints[k]!;
    this.next += 1;
  }

  /** There are no more frames. */
  end(): void {
    this.ended = true;
  }

  /** Whether the frames that decide the value at t_s are in: up to the second after it, as its slope needs them. */
  covers(t_s: number): boolean {
    if (this.ended) return true;
    const kept = this.next - this.oldest;
    return (kept >= 2 && t_s < this.time(this.next - 2)) || (this.next === 1 && t_s < this.time(0));
  }

  /**
   * The values at t_s into `out`, and their rates (per s) into `slope`, both of length `size`. NaN where the stream leaves a
   * joint alone. A stream of no frames is home. Throws when t_s is not covered, or earlier than the time before.
   */
  evaluate(t_s: number, out: Float64Array, slope?: Float64Array): void {
    if (!this.covers(t_s)) throw new Error(`evaluated at ${t_s} s, before its frames came`);
    if (t_s < this.latest_s) throw new Error(`evaluated at ${t_s} s after ${this.latest_s} s`);
    this.latest_s = t_s;
    if (this.next === 0) return fillHome(out, slope);
    let first = this.interval < 0 ? 0 : this.interval;
    if (t_s < this.time(first)) return this.hold(first, out, slope);
    while (first + 1 < this.next && this.time(first + 1) <= t_s) first += 1;
    if (first + 1 === this.next) return this.hold(first, out, slope);
    if (first !== this.interval) this.enter(first);
    this.evaluateCubic(t_s - this.time(first), out, slope);
  }

  private evaluateCubic(since_s: number, out: Float64Array, slope: Float64Array | undefined): void {
    const { cubic, size } = this;
    const u = since_s / this.length_s;
    for (let k = 0; k < size; k += 1) {
      const m0 = cubic[size + k]!;
      const c2 = cubic[2 * size + k]!;
      const c3 = cubic[3 * size + k]!;
      out[k] = cubic[k]! + since_s * (m0 + u * (c2 + u * c3));
      if (slope !== undefined) slope[k] = m0 + u * (2 * c2 + 3 * u * c3);
    }
  }

  /** Prepares the cubics from frame `first` to the one after it, and lets go of what lies further back. */
  private enter(first: number): void {
    const { cubic, slopes, size } = this;
    const follows = first === this.interval + 1 && first > 0;
    this.length_s = this.time(first + 1) - this.time(first);
    for (let k = 0; k < size; k += 1) {
      const m0 = follows ? slopes[k]! : this.slopeAt(first, k);
      const m1 = this.slopeAt(first + 1, k);
      slopes[k] = m1;
      const secant = this.secant(first, k);
      cubic[k] = this.value(first, k);
      cubic[size + k] = m0;
      cubic[2 * size + k] = 3 * secant - 2 * m0 - m1;
      cubic[3 * size + k] = m0 + m1 - 2 * secant;
    }
    this.interval = first;
    this.oldest = Math.max(0, first - 1);
  }

  private slopeAt(frame: number, k: number): number {
    if (frame === 0 || frame === this.next - 1) return 0;
    const before_s = this.time(frame) - this.time(frame - 1);
    const after_s = this.time(frame + 1) - this.time(frame);
    return limitedSlope(before_s, this.secant(frame - 1, k), after_s, this.secant(frame, k));
  }

  private secant(frame: number, k: number): number {
    return (this.value(frame + 1, k) - this.value(frame, k)) / (this.time(frame + 1) - this.time(frame));
  }

  private hold(frame: number, out: Float64Array, slope: Float64Array | undefined): void {
    for (let k = 0; k < this.size; k += 1) out[k] = this.value(frame, k);
    slope?.fill(0);
  }

  private time(frame: number): number {
    return this.times[frame & (this.room - 1)]!;
  }

  private value(frame: number, k: number): number {
    return this.rows[(frame & (this.room - 1)) * this.size + k]!;
  }

  private grow(): void {
    const { times, rows, room, size } = this;
    this.room = 2 * room;
    this.times = new Float64Array(this.room);
    this.rows = new Float64Array(this.room * size);
    for (let frame = this.oldest; frame < this.next; frame += 1) {
      const from = frame & (room - 1);
      const to = frame & (this.room - 1);
      this.times[to] = times[from]!;
      this.rows.set(rows.subarray(from * size, (from + 1) * size), to * size);
    }
  }
}

function fillHome(out: Float64Array, slope: Float64Array | undefined): void {
  out.fill(0, 0, POSE);
  out.fill(NaN, POSE);
  slope?.fill(0);
}
