/**
 * Fits a decaying sine on a slope, y = c + d·t + e^(-σt)(a·cos ωt + b·sin ωt), to measured points: Levenberg-Marquardt, outliers
 * weighted down (P. J. Huber, Robust Statistics, 1981), standard errors from the curvature at the end, wider where the errors of
 * neighbouring points go together.
 */
import { levenbergMarquardt } from 'ml-levenberg-marquardt';
import { Matrix, inverse, solve } from 'ml-matrix';

export interface DecayingSine {
  /** rad/s, and its standard error. */
  readonly turn: number;
  readonly turn_error: number;
  /** 1/s, and its standard error; negative: it grows. */
  readonly decay: number;
  readonly decay_error: number;
  /** Size at the first point, in the points' unit. */
  readonly amplitude: number;
  /** Share of the points' spread, slope apart, that the sine explains: 0 to 1. */
  readonly explained: number;
}

const LEAST_POINTS = 24;
/** Beyond so many standard deviations a point counts less (Huber's own choice: 95 % as good as least squares on normal errors). */
const OUTLYING = 1.345;
/** Of normal errors: standard deviation over median absolute deviation. */
const MAD = 1.4826;
const ROUNDS = 3;
const ITERATIONS = 12;

/** Parameters in units of the guess: offset, slope, cosine, sine, decay/guess, turn/guess. */
type Parameters = readonly number[];

/** @param t_s rising; @param turn, decay first guesses, rad/s and 1/s. Null: nothing fits. */
export function fitDecayingSine(
  t_s: ArrayLike<number>,
  y: ArrayLike<number>,
  guess: { readonly turn: number; readonly decay: number },
): DecayingSine | null {
  const n = t_s.length;
  const x = Float64Array.from({ length: n }, (_, i) => (t_s[i]! - t_s[0]!) * guess.turn);
  const scale = Math.max(...Array.from(y, Math.abs));
  if (n < LEAST_POINTS || !(scale > 0) || !Number.isFinite(scale)) return null;
  const unit = Float64Array.from({ length: n }, (_, i) => y[i]! / scale);
  let parameters: Parameters = linearPart(x, unit, guess.decay / guess.turn, 1);
  let doubts = new Float64Array(n).fill(1);
  for (let round = 0; round < ROUNDS; round++) {
    parameters = levenbergMarquardt({ x, y: unit }, model, {
      initialValues: [...parameters],
      jacobianFunction: slopes,
      weights: doubts,
      maxIterations: ITERATIONS,
      errorTolerance: 1e-14,
    }).parameterValues;
    if (!parameters.every(Number.isFinite)) return null;
    doubts = doubtsOf(residuals(x, unit, parameters));
  }
  return summary(x, unit, parameters, doubts, guess.turn, scale);
}

const model =
  ([c = 0, d = 0, a = 0, b = 0, decay = 0, turn = 0]: Parameters) =>
  (x: number): number =>
    c + d * x + Math.exp(-decay * x) * (a * Math.cos(turn * x) + b * Math.sin(turn * x));

/** Derivatives of the model by its parameters. */
const slopes =
  ([, , a = 0, b = 0, decay = 0, turn = 0]: Parameters) =>
  (x: number): number[] => {
    const size = Math.exp(-decay * x);
    const cos = size * Math.cos(turn * x);
    const sin = size * Math.sin(turn * x);
    return [1, x, cos, sin, -x * (a * cos + b * sin), x * (b * cos - a * sin)];
  };

const residuals = (x: Float64Array, y: Float64Array, parameters: Parameters): Float64Array => {
  const at = model(parameters);
  return x.map((value, i) => y[i]! - at(value));
};

/** The best offset, slope, cosine and sine for a decay and a turn: linear least squares. */
function linearPart(x: Float64Array, y: Float64Array, decay: number, turn: number): Parameters {
  const rows = Array.from(x, (value) => slopes([0, 0, 0, 0, decay, turn])(value).slice(0, 4));
  const A = new Matrix(rows);
  const found = solve(A.transpose().mmul(A), A.transpose().mmul(Matrix.columnVector(y)), true);
  return [...found.to1DArray(), decay, turn];
}

/** How much each point is doubted: 1, or more for outliers. */
function doubtsOf(errors: Float64Array): Float64Array<ArrayBuffer> {
  const sizes = errors.map(Math.abs).sort();
  const spread = MAD * (sizes[sizes.length >> 1] ?? 0);
  const most = OUTLYING * spread;
  return Float64Array.from(errors, (error) => (most > 0 ? Math.sqrt(Math.max(1, Math.abs(error) / most)) : 1));
}

function summary(
  x: Float64Array,
  y: Float64Array,
  parameters: Parameters,
  doubts: Float64Array,
  turn_unit: number,
  scale: number,
): DecayingSine | null {
  const [c = 0, d = 0, a = 0, b = 0, decay = 0, turn = 0] = parameters;
  const errors = residuals(x, y, parameters);
  const weights = doubts.map((doubt) => 1 / (doubt * doubt));
  const sum = (values: (i: number) => number): number => x.reduce((total, _, i) => total + values(i), 0);
  const left = sum((i) => weights[i]! * errors[i]! ** 2);
  const sized = sum((i) => weights[i]! * (y[i]! - c - d * x[i]!) ** 2);
  // Huber's covariance: the mean square of the weighted errors over the square of the share that counts in full.
  const spread = sum((i) => (weights[i]! * errors[i]!) ** 2) / Math.max(1, x.length - parameters.length);
  const counting = sum((i) => Number(doubts[i]! === 1)) / x.length;
  const J = new Matrix(Array.from(x, slopes(parameters)));
  const covariance = inverse(J.transpose().mmul(J), true).mul((spread / counting ** 2) * together(errors));
  const error = (k: number): number => turn_unit * Math.sqrt(Math.max(0, covariance.get(k, k)));
  return {
    turn: Math.abs(turn) * turn_unit,
    turn_error: error(5),
    decay: decay * turn_unit,
    decay_error: error(4),
    amplitude: scale * Math.hypot(a, b),
    explained: sized > 0 ? Math.max(0, 1 - left / sized) : 0,
  };
}

/** Into how many points one true piece of news is spread: 1 + 2·(sum of autocorrelations while they are positive). */
function together(errors: Float64Array): number {
  const power = errors.reduce((sum, error) => sum + error * error, 0);
  if (!(power > 0)) return 1;
  let spread = 1;
  for (let lag = 1; lag < errors.length / 2; lag++) {
    let sum = 0;
    for (let i = lag; i < errors.length; i++) sum += errors[i]! * errors[i - lag]!;
    if (sum <= 0) break;
    spread += (2 * sum) / power;
  }
  return spread;
}
