/**
 * A whole stream in memory, to be evaluated at any time in any order: the same curve as `Interpolant` gives in passing, to the
 * last bit. 8 bytes for each figure of a frame.
 */
import { limitedSlope } from './interpolate.ts';

/** Pose components before the joints in every row of values. */
const POSE = 6;
const FIRST_ROOM = 64;

/** What of a frame is kept; a Frame is one. */
interface Values {
  readonly t_s: number;
  readonly pose: ArrayLike<number>;
  readonly joints: ArrayLike<number>;
}

/** Push all frames, then evaluate; a frame pushed later is seen at the next evaluation. */
export class StoredStream {
  /** Numbers in a row of values: pose (mm, rad), then the rig's joints but the legs (rad). */
  readonly size: number;
  /** Frames held. */
  count = 0;
  private times: Float64Array = new Float64Array(FIRST_ROOM);
  private rows: Float64Array;
  /** The interval last looked at; the one whose cubics are in hand (-1: none): m0, m1, c2, c3 of each figure, and its length. */
  private cursor = 0;
  private entered = -1;
  private length_s = 1;
  private readonly cubic: Float64Array;
  /** Figures that some frame gives, and those that none does: NaN all along. */
  private given: Int32Array = new Int32Array(0);
  private left: Int32Array;

  /** @param jointCount how many joints the rig has but the legs */
  constructor(jointCount: number) {
    this.size = POSE + jointCount;
    this.rows = new Float64Array(FIRST_ROOM * this.size);
    this.cubic = new Float64Array(4 * this.size);
    this.left = Int32Array.from({ length: this.size }, (_, k) => k);
  }

  /** The next frame; times must increase, as a checked stream's do. */
  push(frame: Values): void {
    const from = this.open(frame.t_s);
    this.rows.set(frame.pose, from);
    this.rows.set(frame.joints, from + POSE);
    this.noteGiven(from);
  }

  /** The same from one row of values. */
  pushRow(t_s: number, values: Float64Array): void {
    const from = this.open(t_s);
    this.rows.set(values, from);
    this.noteGiven(from);
  }

  /** Moves frame number `frame` to another time; times must increase still. */
  setTime(frame: number, t_s: number): void {
    this.times[frame] = t_s;
    this.entered = -1;
  }

  /** Time of frame number `frame`. */
  time(frame: number): number {
    return this.times[frame]!;
  }

  /** Values of frame number `frame`: a view, not to be written. */
  row(frame: number): Float64Array {
    return this.rows.subarray(frame * this.size, (frame + 1) * this.size);
  }

  /** The same, copied into `out`. */
  rowInto(frame: number, out: Float64Array): void {
    this.hold(frame, out);
  }

  /** Whether nothing moves from frame number `frame` to the next: both are the same. */
  restsAfter(frame: number): boolean {
    const { rows, size, given } = this;
    for (let n = 0; n < given.length; n++) {
      const i = frame * size + given[n]!;
      if (rows[i] !== rows[i + size]) return false;
    }
    return true;
  }

  /** Whether frame number `frame` is the same in another stream of the same size, its time included; NaN is NaN. */
  isSameAt(frame: number, { times, rows }: StoredStream): boolean {
    if (this.times[frame] !== times[frame]) return false;
    const end = (frame + 1) * this.size;
    for (let i = frame * this.size; i < end; i++) if (!Object.is(this.rows[i], rows[i])) return false;
    return true;
  }

  /** Number of the interval that holds t_s, by its first frame: 0 to count - 2. The stream has two frames or more. */
  intervalAt(t_s: number): number {
    const { times, count } = this;
    let at = Math.min(this.cursor, count - 2);
    if (at + 8 < count && t_s > times[at + 8]!) at = this.search(t_s);
    else if (at >= 8 && t_s < times[at - 8]!) at = this.search(t_s);
    while (at + 2 < count && times[at + 1]! <= t_s) at += 1;
    while (at > 0 && times[at]! > t_s) at -= 1;
    this.cursor = at;
    return at;
  }

  /** The values at t_s into `out`, of length `size`. NaN where the stream leaves a joint alone. At least one frame is held. */
  evaluate(t_s: number, out: Float64Array): void {
    const { count, times, rows, size } = this;
    if (count < 2 || t_s <= times[0]!) return this.hold(0, out);
    if (t_s >= times[count - 1]!) return this.hold(count - 1, out);
    const frame = this.intervalAt(t_s);
    if (frame !== this.entered) this.enter(frame);
    const { cubic, given, left } = this;
    const since_s = t_s - times[frame]!;
    const u = since_s / this.length_s;
    for (let n = 0; n < left.length; n++) out[left[n]!] = NaN;
    for (let n = 0; n < given.length; n++) {
      const k = given[n]!;
      const c2 = cubic[2 * size + k]!;
      const c3 = cubic[3 * size + k]!;
      out[k] = rows[frame * size + k]! + since_s * (cubic[k]! + u * (c2 + u * c3));
    }
  }

  /** Works out the cubics from frame number `frame` to the next. */
  private enter(frame: number): void {
    const { times, rows, cubic, size, given } = this;
    const follows = frame === this.entered + 1 && this.entered >= 0;
    this.length_s = times[frame + 1]! - times[frame]!;
    this.entered = frame;
    if (!follows) this.slopesAt(frame);
    for (let k = 0; k < size; k++) cubic[k] = cubic[size + k]!;
    this.slopesAt(frame + 1);
    const { length_s } = this;
    for (let n = 0; n < given.length; n++) {
      const k = given[n]!;
      const i = frame * size + k;
      const m0 = cubic[k]!;
      const m1 = cubic[size + k]!;
      const secant = (rows[i + size]! - rows[i]!) / length_s;
      cubic[2 * size + k] = 3 * secant - 2 * m0 - m1;
      cubic[3 * size + k] = m0 + m1 - 2 * secant;
    }
  }

  /** Slopes at frame number `frame` into the place of m1. */
  private slopesAt(frame: number): void {
    const { times, rows, cubic, size, given } = this;
    if (frame === 0 || frame === this.count - 1) {
      cubic.fill(0, size, 2 * size);
      return;
    }
    const before_s = times[frame]! - times[frame - 1]!;
    const after_s = times[frame + 1]! - times[frame]!;
    for (let n = 0; n < given.length; n++) {
      const k = given[n]!;
      const i = frame * size + k;
      const s0 = (rows[i]! - rows[i - size]!) / before_s;
      const s1 = (rows[i + size]! - rows[i]!) / after_s;
      cubic[size + k] = limitedSlope(before_s, s0, after_s, s1);
    }
  }

  /** Sees whether the frame whose values begin at place `from` gives a figure that none before it gave. */
  private noteGiven(from: number): void {
    const { rows, left } = this;
    const isLeft = (k: number): boolean => Number.isNaN(rows[from + k]!);
    if (left.every(isLeft)) return;
    this.left = left.filter(isLeft);
    this.given = Int32Array.from({ length: this.size }, (_, k) => k).filter((k) => !this.left.includes(k));
  }

  private hold(frame: number, out: Float64Array): void {
    for (let k = 0, i = frame * this.size; k < this.size; k++, i++) out[k] = this.rows[i]!;
  }

  private search(t_s: number): number {
    let lo = 0;
    let hi = this.count - 1;
    while (hi - lo > 1) {
      const middle = (lo + hi) >> 1;
      if (this.times[middle]! <= t_s) lo = middle;
      else hi = middle;
    }
    return lo;
  }

  private open(t_s: number): number {
    if (this.count === this.times.length) this.grow();
    this.times[this.count] = t_s;
    this.count += 1;
    this.entered = -1;
    return (this.count - 1) * this.size;
  }

  private grow(): void {
    const grown = (old: Float64Array): Float64Array => {
      const larger = new Float64Array(2 * old.length);
      larger.set(old);
      return larger;
    };
    this.times = grown(this.times);
    this.rows = grown(this.rows);
  }
}
