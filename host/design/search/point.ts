/** A point that was evaluated, and which of two is the better. */
import type { Shape } from './problem.ts';

export interface Point {
  readonly x: Float64Array;
  readonly objectives: Float64Array;
  readonly violations: Float64Array;
  /** The sum of the violations. 0: feasible. `BROKEN`: something was no finite number. */
  readonly violation: number;
  /** Which evaluation of its island it was, from 0: what decides between equals. */
  readonly at: number;
}

/** Worse than any sum of violations: a point with NaN or an infinity among its answers is never feasible. */
export const BROKEN = Number.MAX_VALUE;

/** @param answers of many points; this one's are the `index`th */
export function pointOf(shape: Shape, x: Float64Array, answers: Float64Array, index: number, at: number): Point {
  const { objectives: many, constraints } = shape;
  const from = index * (many + constraints);
  const own = answers.slice(from, from + many + constraints);
  if (!own.every(Number.isFinite)) own.fill(BROKEN);
  const violations = own.subarray(many).map((value) => (value > 0 ? value : 0));
  const isBroken = own[0] === BROKEN;
  const sum = violations.reduce((total, value) => total + value, 0);
  const violation = isBroken ? BROKEN : Math.min(sum, BROKEN / 2);
  return { x, objectives: own.slice(0, many), violations, violation, at };
}

/**
 * Below 0: a is better than b by objective j. Feasible first, then the smaller violation (Deb, "An efficient constraint
 * handling method for genetic algorithms", CMAME 186, 2000), then the objective, then the others in their order, then the
 * earlier.
 */
export function compare(a: Point, b: Point, j: number): number {
  if (a.violation !== b.violation) return a.violation < b.violation ? -1 : 1;
  const own = a.objectives[j]! - b.objectives[j]!;
  if (own !== 0) return own;
  for (let k = 0; k < a.objectives.length; k++) {
    const other = a.objectives[k]! - b.objectives[k]!;
    if (other !== 0) return other;
  }
  return a.at - b.at;
}

/** The best of some by objective j. */
export const best = (points: readonly Point[], j: number): Point | null =>
  points.reduce<Point | null>((found, point) => (found && compare(found, point, j) <= 0 ? found : point), null);
