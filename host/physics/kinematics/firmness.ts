/**
 * How firmly six legs hold the moving plate at a pose: the singular values of the platform's Jacobian, and what they say of
 * poses where the plate hangs loose or a crank stands in line with its rod. Rods and plates are taken as rigid, and all six
 * legs as equally stiff.
 */
import { Matrix, SVD, determinant } from 'ml-matrix';
import type { Platform, Pose } from '../../rig/rig.ts';
import { inverseInto } from './inverse.ts';
import { jacobianInto } from './jacobian.ts';

/**
 * Singular values of J·diag(r, r, r, 1, 1, 1), from the pivot's velocity in plate radii a second and the plate's turning in
 * rad/s to the rates of the legs (rad/s, or mm/s): scaled so, a shift by the plate's radius counts as much as a turn by one
 * radian (common practice: a length must be chosen, and this one is about what the plate's rim sees).
 */
export interface Firmness {
  /** Largest over smallest singular value, 1 or more; null: beyond 1e9, which is singular as far as f64 can tell. */
  readonly condition: number | null;
  /** All six, largest first. */
  readonly sizes: readonly number[];
  /** Smallest: what the plate's easiest motion asks of the legs. The stiffness that holds it there goes with its square. */
  readonly least: number;
  /** Largest: how fast the legs run for the motion that asks most of them. */
  readonly most: number;
  /** Share of each pose component, 0 to 1, in the motions that the plate is held against least. */
  readonly weakest: readonly number[];
  /**
   * Sign of the Jacobian's determinant. Between two poses of different sign, on a way that the legs reach all along, lies a
   * singular one, in which the plate hangs loose.
   */
  readonly side: number;
}

const SINGULAR = 1e9;
/** Singular values this near to the smallest are as weak. */
const AS_WEAK = 1.01;

/** Root mean square distance of the moving joints from their centre, mm: of a symmetric plate, its radius. */
export function plateRadius({ legs }: Platform): number {
  const mean = (of: (i: number) => number): number => legs.reduce((sum, _, i) => sum + of(i), 0) / legs.length;
  const centre = ([0, 1, 2] as const).map((k) => mean((i) => legs[i]!.moving_mm[k]));
  return Math.sqrt(
    mean((i) => legs[i]!.moving_mm.reduce((sum, value, k) => sum + (value - (centre[k] ?? NaN)) ** 2, 0)),
  );
}

function scaledJacobian(platform: Platform, pose: Pose): Matrix | null {
  const coordinates = new Float64Array(6);
  const J = new Float64Array(36);
  if (!inverseInto(platform, pose, coordinates) || !jacobianInto(platform, pose, coordinates, J)) return null;
  const radius_mm = plateRadius(platform);
  const matrix = new Matrix(6, 6);
  for (let i = 0; i < 36; i++) matrix.set(Math.floor(i / 6), i % 6, J[i]! * (i % 6 < 3 ? radius_mm : 1));
  return matrix;
}

/** Null: out of reach, or a crank in line with its rod, where no finite rate of the legs moves the plate. */
export function firmnessAt(platform: Platform, pose: Pose): Firmness | null {
  const matrix = scaledJacobian(platform, pose);
  if (!matrix) return null;
  const svd = new SVD(matrix);
  const sizes = svd.diagonal;
  const [most, least] = [Math.max(...sizes), Math.min(...sizes)];
  const condition = most / least;
  const weak = svd.rightSingularVectors.subMatrixColumn(
    sizes.flatMap((size, i) => (size <= least * AS_WEAK ? [i] : [])),
  );
  return {
    condition: condition < SINGULAR ? condition : null,
    sizes: [...sizes].sort((a, b) => b - a),
    least,
    most,
    weakest: weak.to2DArray().map((row) => row.reduce((sum, v) => sum + v * v, 0) / weak.columns),
    side: Math.sign(determinant(matrix)),
  };
}
