/** One joint's motion by instants of the clock, as it is and as it was; where it is changed, it is what its new frames make of it. */
import { limitedSlope } from '../../stream/interpolate.ts';
import type { Clock } from './clock.ts';

export class Curve {
  readonly clock: Clock;
  /** As the stream has it, by instant; never changed. */
  readonly was: Float64Array;
  /** As it is now, by instant. */
  readonly now: Float64Array;

  constructor(was: Float64Array, clock: Clock) {
    this.clock = clock;
    this.was = was;
    this.now = was.slice();
  }

  /** The stream's last value. */
  get end(): number {
    return this.was.at(-1)!;
  }

  /** The value now at new frame f; before the first and after the last it stands still. */
  frame(f: number): number {
    const { lastFrame, perFrame } = this.clock;
    return this.now[Math.max(0, Math.min(lastFrame, f)) * perFrame]!;
  }

  /** Takes new frames' values from number `from` on, and draws the curve through them as the controller does. */
  put(from: number, values: ArrayLike<number>): void {
    const { perFrame } = this.clock;
    for (let k = 0; k < values.length; k++) this.now[(from + k) * perFrame] = values[k]!;
    for (let f = Math.max(0, from - 1); f < from + values.length; f++) this.draw(f);
    // New frames end a little before the stream does, at its last value.
    const { lastFrame } = this.clock;
    if (from + values.length > lastFrame) this.now.fill(this.now[lastFrame * perFrame]!, lastFrame * perFrame);
  }

  /** Gives back what the stream had from instant `from` to `to`. */
  restore(from: number, to: number): void {
    this.now.set(this.was.subarray(from, to + 1), from);
  }

  /** The cubic from new frame f to the next. */
  private draw(f: number): void {
    const { perFrame, lastFrame } = this.clock;
    if (f >= lastFrame) return;
    const [a, b, c, d] = [this.frame(f - 1), this.frame(f), this.frame(f + 1), this.frame(f + 2)];
    const m0 = f === 0 ? 0 : limitedSlope(1, b - a, 1, c - b);
    const m1 = f + 1 === lastFrame ? 0 : limitedSlope(1, c - b, 1, d - c);
    const secant = c - b;
    for (let k = 1, i = f * perFrame + 1; k < perFrame; k++, i++) {
      const u = k / perFrame;
      this.now[i] = b + u * (m0 + u * (3 * secant - 2 * m0 - m1 + u * (m0 + m1 - 2 * secant)));
    }
  }
}
