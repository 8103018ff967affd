/**
 * A platform's legs as plain numbers, turned once into its carrier's axes (origin: the base's origin), so that mount and
 * pivot cost nothing at a pose: there, moving joint = pivot + t + R·arm. Lengths mm.
 */
import type { Leg, Platform, Pose, Vec3 } from '../../rig/rig.ts';
import { levelOf } from '../../rig/legs.ts';
import { type Mat3, cross, mulVec, rpyMatrix, sub } from '../../rig/rotation.ts';

/** One leg in the carrier's axes: base joint, arm from the pivot to the moving joint at home, and the crank's own frame. */
export interface LegGeometry {
  readonly base_mm: Vec3;
  readonly arm_mm: Vec3;
  /** The crank at angle 0. */
  readonly u: Vec3;
  /** The rod ends' studs at home: the servo's axis, k × u. */
  readonly stud: Vec3;
  /** The base plate's normal: where the crank points at 90 degrees. */
  readonly k: Vec3;
}

export interface Geometry {
  /** The pivot at home. */
  readonly pivot_mm: Vec3;
  readonly legs: readonly LegGeometry[];
  /** The same legs in one row, `LEG_FIGURES` each: base, arm, u, stud, k. */
  readonly flat: Float64Array;
  /** Height of a rod's end with its crank level (rig/legs.ts). */
  readonly level_mm: number;
}

export const LEG_FIGURES = 15;

const known = new WeakMap<Platform, Geometry>();

/** The geometry of a platform, worked out at its first use. */
export function geometryOf(platform: Platform): Geometry {
  let geometry = known.get(platform);
  if (!geometry) {
    geometry = turned(platform);
    known.set(platform, geometry);
  }
  return geometry;
}

function turned(platform: Platform): Geometry {
  const mount = rpyMatrix(platform.mount.rpy_rad);
  const [x, y, z] = platform.pivot_mm;
  const legs = platform.legs.map((leg) => turnedLeg(leg, platform, mount));
  return {
    pivot_mm: mulVec(mount, [x, y, z + platform.home_z_mm]),
    legs,
    flat: flatOf(legs),
    level_mm: levelOf(platform),
  };
}

function flatOf(legs: readonly LegGeometry[]): Float64Array {
  const flat = new Float64Array(LEG_FIGURES * legs.length);
  let at = 0;
  for (const { base_mm, arm_mm, u, stud, k } of legs)
    for (const vector of [base_mm, arm_mm, u, stud, k]) {
      flat[at++] = vector[0];
      flat[at++] = vector[1];
      flat[at++] = vector[2];
    }
  return flat;
}

function turnedLeg(leg: Leg, platform: Platform, mount: Mat3): LegGeometry {
  const u = mulVec(mount, [Math.cos(leg.azimuth_rad), Math.sin(leg.azimuth_rad), 0]);
  const k = mulVec(mount, [0, 0, 1]);
  return {
    base_mm: mulVec(mount, leg.base_mm),
    arm_mm: mulVec(mount, sub(leg.moving_mm, platform.pivot_mm)),
    u,
    stud: cross(k, u),
    k,
  };
}

/** Where a leg's rod (or its actuator) starts, in the carrier's axes, mm: the crank's tip, or the base joint. */
export function startOf(platform: Platform, { base_mm: b, u, k }: LegGeometry, coordinate: number): Vec3 {
  if (platform.drive === 'linear') return b;
  const c = platform.crank_mm * Math.cos(coordinate);
  const s = platform.crank_mm * Math.sin(coordinate);
  return [b[0] + c * u[0] + s * k[0], b[1] + c * u[1] + s * k[1], b[2] + c * u[2] + s * k[2]];
}

/** Where a leg's rod ends at a pose, in the carrier's axes, mm; `turn` is the pose's rotation matrix. */
export function endOf({ pivot_mm: p }: Geometry, { arm_mm: a }: LegGeometry, pose: Pose, turn: Mat3): Vec3 {
  return [
    p[0] + pose[0] + turn[0] * a[0] + turn[1] * a[1] + turn[2] * a[2],
    p[1] + pose[1] + turn[3] * a[0] + turn[4] * a[1] + turn[5] * a[2],
    p[2] + pose[2] + turn[6] * a[0] + turn[7] * a[1] + turn[8] * a[2],
  ];
}

/**
 * The same two for leg i of a crank platform, one less the other, without arrays of their own: its rod from the crank's tip to the plate.
 * @param pose six numbers; @param turn the pose's rotation, nine numbers; @param out receives three.
 */
export function rodInto(
  platform: Platform,
  { pivot_mm: p, flat: f }: Geometry,
  i: number,
  coordinate: number,
  pose: ArrayLike<number>,
  turn: Float64Array,
  out: Float64Array,
): void {
  const g = i * LEG_FIGURES;
  const c = platform.crank_mm * Math.cos(coordinate);
  const s = platform.crank_mm * Math.sin(coordinate);
  const [x, y, z] = [f[g + 3]!, f[g + 4]!, f[g + 5]!];
  for (let k = 0; k < 3; k++) {
    const end = p[k]! + pose[k]! + turn[3 * k]! * x + turn[3 * k + 1]! * y + turn[3 * k + 2]! * z;
    out[k] = end - (f[g + k]! + c * f[g + 6 + k]! + s * f[g + 12 + k]!);
  }
}
