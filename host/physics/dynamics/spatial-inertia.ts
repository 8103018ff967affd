/**
 * Rigid bodies' inertia about a fixed point, for sums over many bodies (Featherstone, Rigid Body Dynamics Algorithms, 2.13): ten
 * numbers in a flat array, at an offset: mass; mass times centre of mass, 3; the inertia tensor about the point, xx, yy, zz, xy,
 * xz, yz. Bodies add up as their numbers do. SI. A motion is six numbers: velocity at the point, then angular velocity; a wrench
 * the force, then the moment about the point.
 */
import { type Flat, addScaled, timesInto } from './flat.ts';

export const NUMBERS = 10;

const turned = new Float64Array(9);
const back = new Float64Array(9);
const about = new Float64Array(9);

/** Adds a body: its mass, its centre of mass, its inertia about that in axes of its own, and how those are turned (9 each). */
export function addBody(
  out: Flat,
  o: number,
  mass: number,
  centre: Flat,
  c: number,
  turn: Flat,
  inertia: Flat,
  t: number,
): void {
  if (mass === 0) return;
  addPair(out, o, mass, centre, c, centre, c);
  for (let r = 0; r < 3; r++) for (let k = 0; k < 3; k++) back[3 * r + k] = turn[t + 3 * k + r]!;
  timesInto(turned, 0, turn, t, inertia, t);
  timesInto(about, 0, turned, 0, back, 0);
  out[o + 4]! += about[0]!;
  out[o + 5]! += about[4]!;
  out[o + 6]! += about[8]!;
  out[o + 7]! += about[1]!;
  out[o + 8]! += about[2]!;
  out[o + 9]! += about[5]!;
}

/** Adds what has the kinetic energy mass/2·vA·vB of two points at a and b; a point that weighs, where both are the same. */
export function addPair(out: Flat, o: number, mass: number, a: Flat, i: number, b: Flat, j: number): void {
  const half = mass / 2;
  out[o]! += mass;
  addScaled(out, o + 1, a, i, half);
  addScaled(out, o + 1, b, j, half);
  const xx = mass * a[i]! * b[j]!;
  const yy = mass * a[i + 1]! * b[j + 1]!;
  const zz = mass * a[i + 2]! * b[j + 2]!;
  out[o + 4]! += yy + zz;
  out[o + 5]! += xx + zz;
  out[o + 6]! += xx + yy;
  out[o + 7]! -= half * (a[i]! * b[j + 1]! + a[i + 1]! * b[j]!);
  out[o + 8]! -= half * (a[i]! * b[j + 2]! + a[i + 2]! * b[j]!);
  out[o + 9]! -= half * (a[i + 1]! * b[j + 2]! + a[i + 2]! * b[j + 1]!);
}

/** out = the wrench that gives a body this acceleration from rest: m·v + ω×h, h×v + I·ω; out may not be the motion. */
export function timesMotion(out: Flat, o: number, body: Flat, b: number, motion: Flat, m: number): void {
  const mass = body[b]!;
  const hx = body[b + 1]!;
  const hy = body[b + 2]!;
  const hz = body[b + 3]!;
  const vx = motion[m]!;
  const vy = motion[m + 1]!;
  const vz = motion[m + 2]!;
  const wx = motion[m + 3]!;
  const wy = motion[m + 4]!;
  const wz = motion[m + 5]!;
  const xy = body[b + 7]!;
  const xz = body[b + 8]!;
  const yz = body[b + 9]!;
  out[o] = mass * vx + wy * hz - wz * hy;
  out[o + 1] = mass * vy + wz * hx - wx * hz;
  out[o + 2] = mass * vz + wx * hy - wy * hx;
  out[o + 3] = hy * vz - hz * vy + body[b + 4]! * wx + xy * wy + xz * wz;
  out[o + 4] = hz * vx - hx * vz + xy * wx + body[b + 5]! * wy + yz * wz;
  out[o + 5] = hx * vy - hy * vx + xz * wx + yz * wy + body[b + 6]! * wz;
}

/** Power of a wrench at a motion, or the effort that a wrench asks of a joint that moves so. */
export const dot6 = (a: Flat, i: number, b: Flat, j: number): number =>
  a[i]! * b[j]! +
  a[i + 1]! * b[j + 1]! +
  a[i + 2]! * b[j + 2]! +
  a[i + 3]! * b[j + 3]! +
  a[i + 4]! * b[j + 4]! +
  a[i + 5]! * b[j + 5]!;
