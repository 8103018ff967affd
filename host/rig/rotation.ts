/**
 * Rotations as row-major 3×3 matrices, f64. Active, right-handed: R·v turns v. Axes x forward, y left, z up (ISO 8855), and
 * R = Rz(yaw)·Ry(pitch)·Rx(roll).
 */
import type { Vec3 } from './rig.ts';

/** Row-major: [m00, m01, m02, m10, …]. */
export type Mat3 = readonly [number, number, number, number, number, number, number, number, number];

export const IDENTITY: Mat3 = [1, 0, 0, 0, 1, 0, 0, 0, 1];

/** Roll, pitch, yaw in rad to a matrix. */
export function rpyMatrix(rpy: Vec3): Mat3 {
  const m: [number, number, number, number, number, number, number, number, number] = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  rpyInto(rpy[0], rpy[1], rpy[2], m);
  return m;
}

/** The same into nine numbers. */
export function rpyInto(roll: number, pitch: number, yaw: number, m: Float64Array | number[]): void {
  const cr = Math.cos(roll);
  const sr = Math.sin(roll);
  const cp = Math.cos(pitch);
  const sp = Math.sin(pitch);
  const cy = Math.cos(yaw);
  const sy = Math.sin(yaw);
  m[0] = cy * cp;
  m[1] = cy * sp * sr - sy * cr;
  m[2] = cy * sp * cr + sy * sr;
  m[3] = sy * cp;
  m[4] = sy * sp * sr + cy * cr;
  m[5] = sy * sp * cr - cy * sr;
  m[6] = -sp;
  m[7] = cp * sr;
  m[8] = cp * cr;
}

/** The inverse of rpyMatrix: roll and yaw in (-π, π], pitch in [-π/2, π/2]; at pitch ±90 degrees roll is taken as 0. */
export function rpyOf(m: Mat3): Vec3 {
  const rpy: [number, number, number] = [0, 0, 0];
  rpyOfInto(m, rpy, 0);
  return rpy;
}

/** The same into three numbers of a row, from `at` on. */
export function rpyOfInto(m: ArrayLike<number>, row: Float64Array | number[], at: number): void {
  const level = Math.hypot(m[0]!, m[3]!);
  const isUpright = level < 1e-12;
  row[at] = isUpright ? 0 : Math.atan2(m[7]!, m[8]!);
  row[at + 1] = Math.atan2(-m[6]!, level);
  row[at + 2] = isUpright ? Math.atan2(-m[1]!, m[4]!) : Math.atan2(m[3]!, m[0]!);
}

/** Rotation by an angle in rad about a unit vector, right-hand rule. */
export function axisMatrix([x, y, z]: Vec3, angle_rad: number): Mat3 {
  const c = Math.cos(angle_rad);
  const s = Math.sin(angle_rad);
  const k = 1 - c;
  return [
    c + k * x * x,
    k * x * y - s * z,
    k * x * z + s * y,
    k * x * y + s * z,
    c + k * y * y,
    k * y * z - s * x,
    k * x * z - s * y,
    k * y * z + s * x,
    c + k * z * z,
  ];
}

export function mulVec(m: Mat3, v: Vec3): Vec3 {
  return [
    m[0] * v[0] + m[1] * v[1] + m[2] * v[2],
    m[3] * v[0] + m[4] * v[1] + m[5] * v[2],
    m[6] * v[0] + m[7] * v[1] + m[8] * v[2],
  ];
}

/** mᵀ·v: the inverse rotation. */
export function mulVecT(m: Mat3, [x, y, z]: Vec3): Vec3 {
  return [m[0] * x + m[3] * y + m[6] * z, m[1] * x + m[4] * y + m[7] * z, m[2] * x + m[5] * y + m[8] * z];
}

export function mulMat(a: Mat3, b: Mat3): Mat3 {
  const row = (i: 0 | 3 | 6): Vec3 => mulVecT(b, [a[i], a[(i + 1) as 1 | 4 | 7], a[(i + 2) as 2 | 5 | 8]]);
  return [...row(0), ...row(3), ...row(6)];
}

export function transpose(m: Mat3): Mat3 {
  return [m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]];
}

export const add = (a: Vec3, b: Vec3): Vec3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const sub = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scale = (a: Vec3, k: number): Vec3 => [a[0] * k, a[1] * k, a[2] * k];
export const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
