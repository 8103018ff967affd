/** The limits along a stretch of a stream, as rows and caps for its pace. */
import type { Grid } from './grid.ts';
import { MOST_HELD } from './loads.ts';
import type { Axis } from './motion.ts';
import type { PaceProblem, Rows } from './pace.ts';
import type { Whole } from './whole.ts';

/** Limits are planned with a little less, so that f32 rounding and whole microseconds do not exceed them. */
const PLANNED_SPEED = 0.9945;
const PLANNED_ACCEL = 0.99;
const PLANNED_TORQUE = 0.99;
/** The tangent of the servo line takes away so much of the torque at most. */
const MOST_TAKEN = 0.95;

const NOTHING: readonly [number, number] = [0, 0];

export class StretchLimits implements PaceProblem {
  readonly points: number;
  /** By point: share of the acceleration and torque limits and of the speed limits that is planned with. */
  readonly tight: Float64Array;
  readonly slow: Float64Array;
  /** By point: the largest pace. */
  readonly ceiling: Float64Array;
  /** By point: the pace at which the servo line's root is replaced by its tangent. */
  private readonly touches: Float64Array;
  private readonly whole: Whole;
  private readonly grid: Grid;

  /** @param x the pace as far as it is known. */
  constructor(whole: Whole, grid: Grid, x: Float64Array) {
    this.whole = whole;
    this.grid = grid;
    this.points = grid.points;
    this.tight = new Float64Array(grid.points).fill(1);
    this.slow = new Float64Array(grid.points).fill(1);
    this.ceiling = new Float64Array(grid.points).fill(1);
    this.touches = x.slice();
  }

  /** Whether a limit falls with the rate, so that tangents take its place. */
  get isBent(): boolean {
    const fades = ({ plus_gone, minus_gone }: Axis): boolean => Number.isFinite(Math.min(plus_gone, minus_gone));
    return this.grid.terms !== null || this.whole.motion.axes.some(fades);
  }

  /** Lays the tangents anew. */
  touch(x: Float64Array): void {
    this.touches.set(x);
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
    const { first } = this.grid;
    for (let k = 0, at = i * axes.length; k < axes.length; k++, at++) {
      if (first[at] === 0) continue;
      const rate = (PLANNED_SPEED * axes[k]!.speed) / Math.abs(first[at]!);
      if (rate * rate < most) most = rate * rate;
    }
    if (most < 1 && this.isOwn(i)) most = Math.min(1, ceiling);
    return this.slow[i]! * most;
  }

  rows(i: number, out: Rows): void {
    const { axes, poseAxes } = this.whole.motion;
    const own = this.isOwn(i);
    const tight = this.tight[i]!;
    const { first, second } = this.grid;
    for (let k = poseAxes, at = i * axes.length + k; k < axes.length; k++, at++) {
      const a = first[at]!;
      const b = second[at]!;
      if (a === 0 && b === 0) continue;
      const { plus, minus, plus_gone, minus_gone } = axes[k]!;
      if (Math.min(plus, minus) === Infinity) continue;
      this.accelRow(i, a, b, plus, plus_gone, own, out);
      this.accelRow(i, -a, -b, minus, minus_gone, own, out);
    }
    if (this.grid.terms) this.torqueRows(i, this.grid.terms, own, tight, out);
    // Not tightened: the less the rate changes, the fewer peaks.
    this.whole.steady?.rows(this.grid.s[i]!, out);
  }

  /** a·u + b·x within the limit, which fades with the rate as the servo line does (below). */
  private accelRow(i: number, a: number, b: number, limit: number, gone: number, own: boolean, out: Rows): void {
    const most = PLANNED_ACCEL * limit;
    const [taken, perPace] = Number.isFinite(gone) ? this.tangent(most / gone, a, most, this.touches[i]!) : NOTHING;
    const d = most - taken;
    out.add(a, b + perPace, this.tight[i]! * (own ? Math.max(d, b + perPace) : d));
  }

  /**
   * perChange·u + perPace·x + held within the servo line. The line falls with the rate, a root of x, which would make the limit
   * hollow (not convex): its tangent lies above the root, so that what keeps it keeps the line, and where it touches is no loss.
   */
  private torqueRows(i: number, terms: Float64Array, own: boolean, tight: number, out: Rows): void {
    const { lines } = this.whole.loads;
    const { axes, poseAxes } = this.whole.motion;
    for (let j = 0, at = 3 * i * lines.length; j < lines.length; j++, at += 3) {
      const line = lines[j];
      if (!line) continue;
      const rate = this.grid.first[i * axes.length + poseAxes + j]!;
      for (const sign of [1, -1] as const) {
        const a = sign * terms[at]!;
        const held = sign * terms[at + 2]!;
        const most = Math.max(PLANNED_TORQUE * line.most, held / MOST_HELD) - held;
        const [taken, perPace] = this.tangent(PLANNED_TORQUE * line.fall, rate * sign, most, this.touches[i]!);
        const b = sign * terms[at + 1]! + perPace;
        if (a === 0 && b === 0) continue;
        const d = most - taken;
        out.add(a, b, tight * (own ? Math.max(d, b) : d));
      }
    }
  }

  /** What a limit's fall with the rate takes at a pace of 0, and for each unit of pace. */
  private tangent(fall: number, rate: number, most: number, pace: number): readonly [number, number] {
    if (rate <= 0) return NOTHING;
    // √x ≤ √p/2 + x/2√p, p > 0: held at a pace that leaves something at 0.
    const root = Math.min(Math.max(Math.sqrt(pace), 1e-3), (2 * MOST_TAKEN * most) / (fall * rate));
    return [(fall * rate * root) / 2, (fall * rate) / (2 * root)];
  }
}
