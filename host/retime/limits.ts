/** The limits along a stretch of a stream, as rows and caps for its pace. */
import type { Grid } from './grid.ts';
import type { PaceProblem, Rows } from './pace.ts';
import type { Whole } from './whole.ts';

/** Limits are planned with a little less, so that f32 rounding and whole microseconds do not exceed them. */
const PLANNED_SPEED = 0.999;
const PLANNED_ACCEL = 0.995;

export class StretchLimits implements PaceProblem {
  readonly points: number;
  /** By point: share of the acceleration limits and of the speed limits that is planned with, and the largest pace. */
  readonly tight: Float64Array;
  readonly slow: Float64Array;
  readonly ceiling: Float64Array;
  private readonly whole: Whole;
  private readonly grid: Grid;

  constructor(whole: Whole, grid: Grid) {
    this.whole = whole;
    this.grid = grid;
    this.points = grid.points;
    this.tight = new Float64Array(grid.points).fill(1);
    this.slow = new Float64Array(grid.points).fill(1);
    this.ceiling = new Float64Array(grid.points).fill(1);
  }

  step(i: number): number {
    return this.grid.s[i + 1]! - this.grid.s[i]!;
  }

  /** Where the stream is within its limits at its own pace, that pace is right, whatever a difference says. */
  private isOwn(i: number): boolean {
    const { tooMuch } = this.whole;
    const { interval } = this.grid;
    return tooMuch[interval[i]!] !== 1 && (i === 0 || tooMuch[interval[i - 1]!] !== 1);
  }

  cap(i: number): number {
    const { axes } = this.whole.motion;
    const ceiling = this.ceiling[i]!;
    let most = ceiling;
    for (let k = 0, at = i * axes.length; k < axes.length; k++, at++) {
      const rate = (PLANNED_SPEED * axes[k]!.speed) / Math.abs(this.grid.first[at]!);
      if (rate * rate < most) most = rate * rate;
    }
    if (most < 1 && this.isOwn(i)) most = Math.min(1, ceiling);
    return this.slow[i]! * most;
  }

  rows(i: number, out: Rows): void {
    const { axes, poseAxes } = this.whole.motion;
    const own = this.isOwn(i);
    const tight = this.tight[i]!;
    for (let k = poseAxes, at = i * axes.length + k; k < axes.length; k++, at++) {
      const a = this.grid.first[at]!;
      const b = this.grid.second[at]!;
      if (a === 0 && b === 0) continue;
      let plus = PLANNED_ACCEL * axes[k]!.plus;
      let minus = PLANNED_ACCEL * axes[k]!.minus;
      if (own) {
        plus = Math.max(plus, b);
        minus = Math.max(minus, -b);
      }
      out.add(a, b, tight * plus);
      out.add(-a, -b, tight * minus);
    }
  }
}
