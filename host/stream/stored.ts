/**
 * A whole stream in memory, to be evaluated at any time in any order: the same curve as `Interpolant` gives in passing, to the
 * last bit. 8 bytes for each figure of a frame and as many for its slope.
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
  private slopes: Float64Array;
  /** Frames whose slopes are worked out; the interval last looked at. */
  private sloped = 0;
  private cursor = 0;

  /** @param jointCount how many joints the rig has but the legs */
  constructor(jointCount: number) {
    this.size = POSE + jointCount;
    this.rows = new Float64Array(FIRST_ROOM * this.size);
    this.slopes = new Float64Array(FIRST_ROOM * this.size);
  }

  /** The next frame; times must increase, as a checked stream's do. */
  push(frame: Values): void {
    const from = this.open(frame.t_s);
    this.rows.set(frame.pose, from);
    this.rows.set(frame.joints, from + POSE);
  }

  /** The same from one row of values. */
  pushRow(t_s: number, values: Float64Array): void {
    const from = this.open(t_s);
    this.rows.set(values, from);
  }

  /** Moves frame number `frame` to another time; times must increase still. */
  setTime(frame: number, t_s: number): void {
    this.times[frame] = t_s;
    this.sloped = 0;
  }

  /** Time of frame number `frame`. */
  time(frame: number): number {
    return this.times[frame]!;
  }

  /** Values of frame number `frame`: a view, not to be written. */
  row(frame: number): Float64Array {
    return this.rows.subarray(frame * this.size, (frame + 1) * this.size);
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
    if (this.sloped < count) this.workOutSlopes();
    const frame = this.intervalAt(t_s);
    const length_s = times[frame + 1]! - times[frame]!;
    const since_s = t_s - times[frame]!;
    const u = since_s / length_s;
    for (let k = 0, i = frame * size, j = i + size; k < size; k++, i++, j++) {
      const secant = (rows[j]! - rows[i]!) / length_s;
      const m0 = this.slopes[i]!;
      const m1 = this.slopes[j]!;
      out[k] = rows[i]! + since_s * (m0 + u * (3 * secant - 2 * m0 - m1 + u * (m0 + m1 - 2 * secant)));
    }
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

  private workOutSlopes(): void {
    const { times, rows, slopes, size, count } = this;
    const from = Math.max(0, this.sloped - 1);
    for (let frame = from; frame < count; frame++) {
      const at = frame * size;
      if (frame === 0 || frame === count - 1) {
        slopes.fill(0, at, at + size);
        continue;
      }
      const before_s = times[frame]! - times[frame - 1]!;
      const after_s = times[frame + 1]! - times[frame]!;
      for (let i = at; i < at + size; i++) {
        const s0 = (rows[i]! - rows[i - size]!) / before_s;
        const s1 = (rows[i + size]! - rows[i]!) / after_s;
        slopes[i] = limitedSlope(before_s, s0, after_s, s1);
      }
    }
    this.sloped = count;
  }

  private open(t_s: number): number {
    if (this.count === this.times.length) this.grow();
    this.times[this.count] = t_s;
    this.count += 1;
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
    this.slopes = grown(this.slopes);
  }
}
