/**
 * Least squares that says what its readings cannot tell. Figures are counted in units of what they may typically be off by, readings in
 * units of theirs; the singular values of that Jacobian say how sharply each combination of figures is seen. What is seen less
 * sharply than it was known before is held at the start; the rest is fitted by Levenberg and Marquardt's method.
 *
 * Source: Å. Björck, Numerical Methods for Least Squares Problems, SIAM 1996: truncated SVD 2.7, covariance 1.1, scaling 2.8.
 */
import { levenbergMarquardt } from 'ml-levenberg-marquardt';
import { Matrix, SVD } from 'ml-matrix';
import { studentBeyond, t95 } from './quantiles.ts';

export interface Problem {
  /** What the readings would be with these figures; not finite: they cannot be so. */
  readonly model: (figures: readonly number[]) => readonly number[];
  readonly readings: readonly number[];
  /** Standard deviation expected of each reading. */
  readonly sigma: readonly number[];
  /** Figures as they were known before: where it starts, and what is held. */
  readonly start: readonly number[];
  /** What each may be off by, 19 times in 20. */
  readonly typical: readonly number[];
}

/** A combination of figures: its part of each, in units of `typical`, of length 1. */
export type Combination = readonly number[];

export interface Outlier {
  /** Which reading. */
  readonly index: number;
  /** How far it is from what the others say, in standard errors of that. */
  readonly score: number;
}

export interface Fit {
  readonly figures: readonly number[];
  /** Standard error of each, from the readings alone: what is held adds nothing. */
  readonly error: readonly number[];
  /** Half of each figure's 95 % interval: the readings' part, and what the held combinations may be off by, as squares. */
  readonly off: readonly number[];
  /** How much of each figure lies in what is held: 0 none of it, 1 all of it. */
  readonly heldShare: readonly number[];
  readonly held: readonly Combination[];
  /** Combinations that the readings tell. */
  readonly rank: number;
  /** Readings beyond that. */
  readonly freedom: number;
  /** Reading less model, in the reading's unit. */
  readonly residuals: readonly number[];
  /** Standard deviation of a reading, in units of `sigma`, from the residuals: √(sum of squares / freedom). */
  readonly spread: number;
  /** The reading that is too far off to be chance (5 % over all of them); null: none is, or too few to say. */
  readonly outlier: Outlier | null;
}

/** Below this singular value a combination is held: half its 95 % interval would be wider than what it may be off by without readings. */
const LEAST_SHARP = 1.96;
/** Of `typical`: the step of central differences, and what no longer counts as a change. */
const STEP = 1e-4;
const STILL = 1e-9;
const ROUNDS = 12;
const ITERATIONS = 5;
/** Fewer degrees of freedom give no limits that are worth telling. */
export const LEAST_FREEDOM = 3;

/** @returns null: with fewer than `LEAST_FREEDOM` readings more than combinations told there is no confidence. */
export function fit(problem: Problem): Fit | null {
  let figures = problem.start;
  let seen = lookAt(problem, figures);
  for (let round = 0; round < ROUNDS; round++) {
    const next = improved(problem, figures, seen);
    const moved = Math.max(0, ...next.map((value, j) => Math.abs(value - figures[j]!) / problem.typical[j]!));
    figures = next;
    seen = lookAt(problem, figures);
    if (moved < STILL) break;
  }
  return problem.readings.length - seen.told.length < LEAST_FREEDOM ? null : summary(problem, figures, seen);
}

interface Seen {
  readonly jacobian: Matrix;
  /** Told and held combinations; of the told their singular values. */
  readonly told: readonly Combination[];
  readonly sharp: readonly number[];
  readonly held: readonly Combination[];
}

/** Readings by figures, in their units: one row a reading. */
export function scaledJacobian({ model, sigma, typical }: Problem, at: readonly number[]): Matrix {
  const jacobian = Matrix.zeros(sigma.length, at.length);
  for (let j = 0; j < at.length; j++) {
    const h = STEP * typical[j]!;
    const [up, down] = [model(at.with(j, at[j]! + h)), model(at.with(j, at[j]! - h))];
    for (let i = 0; i < sigma.length; i++) jacobian.set(i, j, (up[i]! - down[i]!) / (2 * STEP) / sigma[i]!);
  }
  return jacobian;
}

function lookAt(problem: Problem, at: readonly number[]): Seen {
  const jacobian = scaledJacobian(problem, at);
  const count = at.length;
  // Rows of zeros change nothing but give every combination its singular value.
  const padded = Matrix.zeros(Math.max(jacobian.rows, count), count).setSubMatrix(jacobian, 0, 0);
  const { rightSingularVectors: v, diagonal } = new SVD(padded, { computeLeftSingularVectors: false });
  const all = diagonal.map((sharp, k) => ({ sharp, combination: v.getColumn(k) }));
  const told = all.filter(({ sharp }) => sharp >= LEAST_SHARP);
  return {
    jacobian,
    told: told.map(({ combination }) => combination),
    sharp: told.map(({ sharp }) => sharp),
    held: all.filter(({ sharp }) => !(sharp >= LEAST_SHARP)).map(({ combination }) => combination),
  };
}

/** Figures from a start by so much of each told combination, in units of its standard error. */
const along = ({ start, typical }: Problem, { told, sharp }: Seen, by: readonly number[]): number[] =>
  start.map(
    (value, j) => value + typical[j]! * told.reduce((sum, part, k) => sum + (part[j]! * by[k]!) / sharp[k]!, 0),
  );

/** The best figures over the told combinations. */
function improved(problem: Problem, figures: readonly number[], seen: Seen): readonly number[] {
  const { model, readings, sigma, start, typical } = problem;
  if (seen.told.length === 0 || readings.length < 2) return start;
  const by = seen.told.map(
    (part, k) =>
      seen.sharp[k]! * part.reduce((sum, share, j) => sum + (share * (figures[j]! - start[j]!)) / typical[j]!, 0),
  );
  const { parameterValues } = levenbergMarquardt(
    { x: readings.map((_, i) => i), y: readings.map((value, i) => value / sigma[i]!) },
    (parameters: readonly number[]) => {
      const at = model(along(problem, seen, parameters));
      return (i: number) => at[i]! / sigma[i]!;
    },
    {
      initialValues: by,
      gradientDifference: STEP,
      centralDifference: true,
      maxIterations: ITERATIONS,
      errorTolerance: 1e-16,
    },
  );
  return along(problem, seen, parameterValues);
}

function summary(problem: Problem, figures: readonly number[], seen: Seen): Fit {
  const { readings, sigma, typical } = problem;
  const { told, sharp, held } = seen;
  const at = problem.model(figures);
  const residuals = readings.map((value, i) => value - at[i]!);
  const weighted = residuals.map((value, i) => value / sigma[i]!);
  const freedom = readings.length - told.length;
  const spread = Math.sqrt(weighted.reduce((sum, r) => sum + r * r, 0) / freedom);
  const error = typical.map((unit, j) => unit * spread * Math.hypot(...told.map((part, k) => part[j]! / sharp[k]!)));
  const heldShare = typical.map((_, j) => Math.hypot(...held.map((part) => part[j]!)));
  return {
    figures,
    error,
    off: error.map((value, j) => Math.hypot(t95(freedom) * value, typical[j]! * heldShare[j]!)),
    heldShare,
    held,
    rank: told.length,
    freedom,
    residuals,
    spread,
    outlier: outlierOf(weighted, seen, freedom),
  };
}

/**
 * The reading with the largest externally studentised residual, where Bonferroni's limit calls it no chance (S. Weisberg, Applied Linear
 * Regression, "Outliers"; R. D. Cook & S. Weisberg, Residuals and Influence in Regression, 1982, 2.2).
 */
function outlierOf(weighted: readonly number[], { jacobian, told, sharp }: Seen, freedom: number): Outlier | null {
  if (freedom < LEAST_FREEDOM + 1) return null;
  const all = weighted.reduce((sum, r) => sum + r * r, 0);
  const scores = weighted.map((r, i) => {
    const row = jacobian.getRow(i);
    const seen = told.map((part, k) => part.reduce((sum, share, j) => sum + share * row[j]!, 0) / sharp[k]!);
    // What the fit leaves of a reading's own error; at 0 the reading alone decides a combination, and nothing contradicts it.
    const free = 1 - seen.reduce((sum, u) => sum + u * u, 0);
    if (!(free > 1e-6)) return 0;
    return Math.abs(r) / Math.sqrt((free * Math.max(all - (r * r) / free, 0)) / (freedom - 1));
  });
  const index = scores.indexOf(Math.max(...scores));
  const score = scores[index] ?? 0;
  return score > studentBeyond(0.025 / weighted.length, freedom - 1) ? { index, score } : null;
}
