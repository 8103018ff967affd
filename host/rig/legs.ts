/**
 * One leg of a platform at a pose: where its joints are and which coordinate puts it there. f64, closed form; soft limits
 * and rod ends are not looked at. Lengths mm, angles rad.
 */
import type { Leg, Platform, Pose, Vec3 } from './rig.ts';
import { add, dot, mulMat, mulVec, mulVecT, rpyMatrix, sub, transpose } from './rotation.ts';

/**
 * Where a leg's moving joint is at the pose, base frame: q = home + Rmᵀt + M(P - pivot) + pivot with M = Rmᵀ R Rm. What all legs share is
 * worked out once.
 */
export function movingOf(platform: Platform, pose: Pose): (leg: Leg) => Vec3 {
  const { pivot_mm } = platform;
  const mount = rpyMatrix(platform.mount.rpy_rad);
  const turn = mulMat(transpose(mount), mulMat(rpyMatrix([pose[3], pose[4], pose[5]]), mount));
  const shift = mulVecT(mount, [pose[0], pose[1], pose[2]]);
  const moved = add([0, 0, platform.home_z_mm], shift);
  return ({ moving_mm }) => add(moved, add(mulVec(turn, sub(moving_mm, pivot_mm)), pivot_mm));
}

/** Moving joint of leg i at the pose, base frame. */
export function movingPoint(platform: Platform, i: number, pose: Pose): Vec3 {
  const leg = platform.legs[i];
  if (!leg) throw new RangeError(`no leg ${String(i + 1)}`);
  return movingOf(platform, pose)(leg);
}

/** From the base joint of leg i to its moving joint at the pose, base frame. */
export function legVector(platform: Platform, i: number, pose: Pose): Vec3 {
  const leg = platform.legs[i];
  if (!leg) throw new RangeError(`no leg ${String(i + 1)}`);
  return sub(movingPoint(platform, i, pose), leg.base_mm);
}

/**
 * Coordinate of leg i at the pose: crank angle in rad or actuator length in mm; null when it cannot reach. A crank leg needs
 * its moving joint above its base joint. The length is not compared with the stroke.
 *
 * Half-angle form: with L = (|l|² - s² + a²)/2a, N = l·u, D = N² + lz² - L²: tan(α/2) = (L - N)/(lz + √D), the solution
 * nearer 0; the other is (lz + √D)/(N + L).
 */
export function legCoordinate(platform: Platform, i: number, pose: Pose): number | null {
  return coordinateAt(platform, platform.legs[i]?.azimuth_rad ?? 0, legVector(platform, i, pose));
}

/** The same from where the moving joint lies, seen from the base joint. */
export const coordinateAt = (platform: Platform, azimuth_rad: number, l: Vec3): number | null =>
  platform.drive === 'linear' ? Math.hypot(...l) : crankAngle(platform, azimuth_rad, l);

/** Crank angle that puts the rod's end at l from the crank's axis; azimuth in rad. Null out of reach. */
export function crankAngle(platform: Platform, azimuth_rad: number, [x, y, z]: Vec3): number | null {
  const along = x * Math.cos(azimuth_rad) + y * Math.sin(azimuth_rad);
  const isOther = platform.branch === 'other';
  const angle_rad = angleAt(platform.crank_mm, levelOf(platform), isOther, along, x * x + y * y, z);
  return Number.isNaN(angle_rad) ? null : angle_rad;
}

/** How high a rod's end stands over its crank's axis with the crank level and the rod's end above its tip, mm. */
export const levelOf = ({ crank_mm: a, rod_mm: s }: Platform): number => Math.sqrt((s - a) * (s + a));

/**
 * The same, rad, from how far l goes along the crank's azimuth, the square of how far it goes off the axis in the base plane,
 * and how high it goes; NaN out of reach. Plain numbers: retiming ten minutes asks some seventy million times. The crank's length, what
 * `levelOf` gives, and whether the platform's branch is the other.
 */
export function angleAt(a: number, h0: number, isOther: boolean, N: number, flat: number, z: number): number {
  const L = (flat + (z - h0) * (z + h0)) / (2 * a);
  const D = N * N + (z - L) * (z + L);
  if (!(D >= 0 && z > 0)) return NaN;
  const far = z + Math.sqrt(D);
  // far > 0: there the arc tangent of the quotient is the same, and quicker.
  return 2 * (isOther ? Math.atan2(far, N + L) : Math.atan((L - N) / far));
}

/**
 * How far the rod ends of leg i tilt away from square to their studs at a pose, rad, 0 to π/2: at the crank, at the moving
 * plate. The studs lie along the crank's axis; at the plate they are fixed in it at home. Crank rigs only.
 */
export function rodEndTilts(
  platform: Platform,
  i: number,
  pose: Pose,
  coordinate_rad: number,
): readonly [number, number] {
  const azimuth = platform.legs[i]?.azimuth_rad ?? 0;
  const [c, s] = [Math.cos(azimuth), Math.sin(azimuth)];
  const reach = platform.crank_mm * Math.cos(coordinate_rad);
  const tip: Vec3 = [reach * c, reach * s, platform.crank_mm * Math.sin(coordinate_rad)];
  const rod = sub(legVector(platform, i, pose), tip);
  const stud: Vec3 = [-s, c, 0];
  const mount = rpyMatrix(platform.mount.rpy_rad);
  const turned = mulVecT(mount, mulVec(rpyMatrix([pose[3], pose[4], pose[5]]), mulVec(mount, stud)));
  const tilt = (along: Vec3): number => Math.asin(Math.min(1, Math.abs(dot(rod, along)) / platform.rod_mm));
  return [tilt(stud), tilt(turned)];
}
