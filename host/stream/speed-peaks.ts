/**
 * How often a motion speeds up and slows down again: the peaks of its speed. A peak counts when the speed rises to it and falls
 * from it by the prominence, so that a slow motion's small bumps are not counted. Motions are compared with one prominence: 10 %
 * of the largest speed that the first of them has. (Prominence as of mountains: how far one must go down before one goes higher.)
 */

/** Time between two looks at a motion, s. */
export const PEAK_STEP_S = 0.02;
/** A peak's prominence, as a share of the largest speed. */
export const PEAK_PROMINENCE = 0.1;

/** Tells the turning points of speeds that come one after another: low and high by turns, from the first low on. */
export class Turns {
  low = NaN;
  high = NaN;
  rising = false;

  /** The turning point that the next speed makes sure of, since it is more than `least` away from it; NaN: none. */
  add(speed: number, least: number): number {
    if (this.rising) {
      if (speed > this.high) this.high = speed;
      if (!(this.high - speed > least)) return NaN;
      this.rising = false;
      this.low = speed;
      return this.high;
    }
    if (!(speed >= this.low)) this.low = speed;
    if (!(speed - this.low > least)) return NaN;
    this.rising = true;
    this.high = speed;
    return this.low;
  }
}

/** Counts the peaks of speeds that come one after another. */
export class PeakCounter {
  private fallen = 0;
  private readonly turns = new Turns();
  private readonly prominence: number;

  /** @param prominence in the speeds' unit, above 0 */
  constructor(prominence: number) {
    this.prominence = prominence;
  }

  /** The next speed, 0 or more. */
  add(speed: number): void {
    const turned = !Number.isNaN(this.turns.add(speed, this.prominence));
    if (turned && !this.turns.rising) this.fallen += 1;
  }

  /** Peaks so far; one that has not fallen yet counts. */
  get count(): number {
    return this.fallen + (this.turns.rising ? 1 : 0);
  }
}

/** The peaks among speeds, 0 or more each. @param prominence in their unit */
export function countPeaks(speeds: Iterable<number>, prominence: number): number {
  const counter = new PeakCounter(prominence);
  for (const speed of speeds) counter.add(speed);
  return counter.count;
}

/** Mean speeds of a position, in its unit per s, over each `PEAK_STEP_S` between two times. */
export function speedsOf(position: (t_s: number) => number, from_s: number, to_s: number): Float64Array {
  const steps = Math.max(0, Math.floor((to_s - from_s) / PEAK_STEP_S + 1e-9));
  const speeds = new Float64Array(steps);
  let before = position(from_s);
  for (let k = 0; k < steps; k++) {
    const now = position(from_s + (k + 1) * PEAK_STEP_S);
    speeds[k] = Math.abs(now - before) / PEAK_STEP_S;
    before = now;
  }
  return speeds;
}
