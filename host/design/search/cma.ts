/**
 * CMA-ES for one objective: a cloud of points whose middle, size and shape follow what turned out well and flee what
 * turned out badly (Hansen, "The CMA evolution strategy: a tutorial", arXiv:1604.00772; its equations and default
 * parameters). What leaves the unit cube is mirrored back. A cloud that has shrunk, or goes nowhere, starts again twice as
 * large (Auger and Hansen, "A restart CMA evolution strategy with increasing population size", CEC 2005), from the next
 * best of what the spread points found.
 *
 * A violation costs a price of its own in the order that the cloud follows, which rises where much of the cloud breaks the
 * constraint and falls where little does (an adaptive penalty, common practice). What counts as found is feasible first
 * all the same: `compare`. Following that order instead, a cloud shrinks at its first wall: of 20 planted problems with 10
 * numbers and 4 walls at the optimum, 6 were solved by 1,500 evaluations, and 20 with prices.
 */
import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import type { Draws } from './draws.ts';
import { BROKEN, type Point, best, compare } from './point.ts';

export interface Cma {
  readonly kind: 'cma';
  /** Where it starts, the best first; the next at each restart. */
  readonly starts: readonly Float64Array[];
  restarts: number;
  /** What a unit of each violation costs, in the objective's unit. */
  prices: Float64Array;
  cloud: Cloud;
}

/** Plain data, so that it can be written down; matrices row by row. */
interface Cloud {
  readonly size: number;
  mean: Float64Array;
  sigma: number;
  covariance: Float64Array;
  /** Columns are the covariance's directions, `spread` their deviations. */
  basis: Float64Array;
  spread: Float64Array;
  sigmaPath: Float64Array;
  covariancePath: Float64Array;
  generation: number;
  /** The steps asked for last, in deviations of the whole cloud. */
  steps: Float64Array[];
  best: Point | null;
  /** The generation that the best last got better in. */
  bestAt: number;
}

const FIRST_SIGMA = 0.2;
/** Beyond that a mirrored cloud is spread over the whole cube anyway. */
const MOST_SIGMA = 1;
/** Directions this small move no design: a thousandth of a micrometre in a metre. */
const SHRUNK = 1e-9;
const MOST_CONDITION = 1e14;
/** Places that clouds start from, one after the other. */
const STARTS = 5;
const MOST_DOUBLINGS = 4;
/**
 * A constraint that this share of a cloud breaks keeps its price; how fast others rise and fall. Measured on planted
 * problems, 0.3 to 0.5 do alike.
 */
const BROKEN_SHARE = 0.4;
const PRICE_RATE = 0.3;

/**
 * Table 1 of the tutorial: the better half's weights sum to 1, the worse half's are negative, so that what fails narrows
 * the cloud.
 */
function parameters(n: number, size: number) {
  const raw = Array.from({ length: size }, (_, i) => Math.log((size + 1) / 2) - Math.log(i + 1));
  const total = (list: readonly number[]): number => list.reduce((sum, value) => sum + value, 0);
  const massOf = (list: readonly number[]): number => total(list) ** 2 / total(list.map((value) => value * value));
  const [good, bad] = [raw.filter((weight) => weight > 0), raw.filter((weight) => weight < 0)];
  const [mass, badMass] = [massOf(good), massOf(bad)];
  const sigmaRate = (mass + 2) / (n + mass + 5);
  const damping = 1 + 2 * Math.max(0, Math.sqrt((mass - 1) / (n + 1)) - 1) + sigmaRate;
  const pathRate = (4 + mass / n) / (n + 4 + (2 * mass) / n);
  const one = 2 / ((n + 1.3) ** 2 + mass);
  const mu = Math.min(1 - one, (2 * (0.25 + mass - 2 + 1 / mass)) / ((n + 2) ** 2 + mass));
  const most = Math.min(1 + one / mu, 1 + (2 * badMass) / (mass + 2), (1 - one - mu) / (n * mu));
  const weights = raw.map((weight) => (weight > 0 ? weight / total(good) : (most * weight) / -total(bad)));
  const length = Math.sqrt(n) * (1 - 1 / (4 * n) + 1 / (21 * n * n));
  return { weights, mass, sigmaRate, damping, pathRate, one, mu, length };
}

const identity = (n: number): Float64Array =>
  Float64Array.from({ length: n * n }, (_, i) => (i % (n + 1) === 0 ? 1 : 0));

function cloudAt(mean: Float64Array, restarts: number): Cloud {
  const n = mean.length;
  return {
    size: (4 + Math.floor(3 * Math.log(n))) * 2 ** restarts,
    mean,
    sigma: FIRST_SIGMA,
    covariance: identity(n),
    basis: identity(n),
    spread: new Float64Array(n).fill(1),
    sigmaPath: new Float64Array(n),
    covariancePath: new Float64Array(n),
    generation: 0,
    steps: [],
    best: null,
    bestAt: 0,
  };
}

/** @param spread points all over the cube, one at least */
export function cmaFrom(spread: readonly Point[]): Cma {
  const order = [...spread].sort((a, b) => compare(a, b, 0));
  const starts = order.slice(0, STARTS).map(({ x }) => x);
  return { kind: 'cma', starts, restarts: 0, prices: firstPrices(spread), cloud: cloudAt(starts[0]!, 0) };
}

/** The middle half's width of the objective against the mean violation where there is one. */
function firstPrices(spread: readonly Point[]): Float64Array {
  const sound = spread.filter(({ violation }) => violation < BROKEN);
  const values = sound.map(({ objectives }) => objectives[0]!).sort((a, b) => a - b);
  const width = (values[Math.floor(values.length * 0.75)] ?? 1) - (values[Math.floor(values.length * 0.25)] ?? 0);
  return spread[0]!.violations.map((_, k) => {
    const own = sound.map(({ violations }) => violations[k]!).filter((value) => value > 0);
    const mean = own.reduce((sum, value) => sum + value, 0) / own.length;
    return own.length > 0 && width > 0 ? width / mean : 1;
  });
}

function priced(point: Point, prices: Float64Array): number {
  if (point.violation === BROKEN) return BROKEN;
  return point.violations.reduce((sum, value, k) => sum + prices[k]! * value, point.objectives[0]!);
}

/** Into [0, 1], as a mirror at either end would. */
function mirrored(value: number): number {
  const within = Math.abs(value % 2);
  return within > 1 ? 2 - within : within;
}

export function askCma({ cloud }: Cma, draws: Draws): Float64Array[] {
  const { mean, sigma, basis, spread } = cloud;
  const n = mean.length;
  cloud.steps = Array.from({ length: cloud.size }, () =>
    product(
      basis,
      spread.map((by) => by * draws.normal()),
    ),
  );
  return cloud.steps.map((step) => Float64Array.from({ length: n }, (_, i) => mirrored(mean[i]! + sigma * step[i]!)));
}

/** @param points of the steps that `askCma` drew, all of them, in their order */
export function tellCma(cma: Cma, points: readonly Point[]): void {
  const { cloud } = cma;
  const cost = points.map((point) => priced(point, cma.prices));
  const order = points.map((_, i) => i).sort((a, b) => cost[a]! - cost[b]! || compare(points[a]!, points[b]!, 0));
  noteBest(cloud, best(points, 0)!);
  cma.prices = cma.prices.map((price, k) => {
    const share = points.filter(({ violations }) => violations[k]! > 0).length / points.length;
    return price * Math.exp(PRICE_RATE * (share - BROKEN_SHARE));
  });
  move(
    cloud,
    order.map((i) => cloud.steps[i]!),
  );
  if (!isSpent(cloud)) return;
  cma.restarts++;
  cma.cloud = cloudAt(cma.starts[cma.restarts % cma.starts.length]!, Math.min(cma.restarts, MOST_DOUBLINGS));
}

function noteBest(cloud: Cloud, first: Point): void {
  const before = cloud.best;
  if (before && compare(first, before, 0) >= 0) return;
  if (!before || isWorth(first, before)) cloud.bestAt = cloud.generation;
  cloud.best = first;
}

/** Whether a better point is so by more than noise. */
const isWorth = (now: Point, before: Point): boolean =>
  now.violation < before.violation * (1 - 1e-6) ||
  now.objectives[0]! < before.objectives[0]! - 1e-9 * Math.abs(before.objectives[0]!);

function isSpent({ sigma, spread, generation, bestAt, size }: Cloud): boolean {
  const [least, most] = [Math.min(...spread), Math.max(...spread)];
  const patience = 10 + Math.ceil((30 * spread.length) / size);
  return !(sigma * most >= SHRUNK) || !((most / least) ** 2 <= MOST_CONDITION) || generation - bestAt > patience;
}

/** Equations 41 to 47. @param steps the best first */
function move(cloud: Cloud, steps: readonly Float64Array[]): void {
  const n = cloud.mean.length;
  const { weights, mass, sigmaRate, damping, pathRate, one, mu, length } = parameters(n, cloud.size);
  const shift = new Float64Array(n);
  weights.forEach((weight, rank) => {
    if (weight > 0) steps[rank]!.forEach((value, i) => (shift[i]! += weight * value));
  });
  cloud.mean = cloud.mean.map((value, i) => value + cloud.sigma * shift[i]!);

  const white = whitened(cloud, shift);
  const keep = Math.sqrt(sigmaRate * (2 - sigmaRate) * mass);
  cloud.sigmaPath = cloud.sigmaPath.map((value, i) => (1 - sigmaRate) * value + keep * white[i]!);
  const along = Math.hypot(...cloud.sigmaPath);
  cloud.generation++;
  const settled = Math.sqrt(1 - (1 - sigmaRate) ** (2 * cloud.generation));
  const isCalm = along / settled < (1.4 + 2 / (n + 1)) * length;
  const push = isCalm ? Math.sqrt(pathRate * (2 - pathRate) * mass) : 0;
  cloud.covariancePath = cloud.covariancePath.map((value, i) => (1 - pathRate) * value + push * shift[i]!);

  const lost = isCalm ? 0 : one * pathRate * (2 - pathRate);
  // A long step that failed must not take more than its direction has.
  const own = weights.map((weight, rank) =>
    weight < 0 ? (weight * n) / Math.max(Math.hypot(...whitened(cloud, steps[rank]!)) ** 2, 1e-300) : weight,
  );
  const left = 1 - one + lost - mu * weights.reduce((sum, weight) => sum + weight, 0);
  const path = cloud.covariancePath;
  cloud.covariance = cloud.covariance.map((value, at) => {
    const [row, column] = [Math.floor(at / n), at % n];
    const spread = own.reduce((sum, weight, rank) => sum + weight * steps[rank]![row]! * steps[rank]![column]!, 0);
    return left * value + one * path[row]! * path[column]! + mu * spread;
  });
  cloud.sigma = Math.min(MOST_SIGMA, cloud.sigma * Math.exp((sigmaRate / damping) * (along / length - 1)));
  decompose(cloud);
}

function decompose(cloud: Cloud): void {
  const n = cloud.mean.length;
  const matrix = Matrix.from1DArray(n, n, cloud.covariance);
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(matrix, { assumeSymmetric: true });
  cloud.spread = Float64Array.from(realEigenvalues, (value) => Math.sqrt(Math.max(value, 0)));
  cloud.basis = Float64Array.from(eigenvectorMatrix.to1DArray());
}

/** The step in the cloud's own directions, each in its own deviation: C^(-1/2) times it. */
function whitened({ basis, spread }: Cloud, step: Float64Array): Float64Array {
  const n = step.length;
  const own = step.map((_, k) => step.reduce((sum, value, i) => sum + basis[i * n + k]! * value, 0) / spread[k]!);
  return product(basis, own);
}

function product(matrix: Float64Array, vector: Float64Array): Float64Array {
  const n = vector.length;
  return vector.map((_, row) => vector.reduce((sum, value, column) => sum + matrix[row * n + column]! * value, 0));
}
