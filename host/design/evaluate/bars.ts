/**
 * What it takes to hold and move cranks and rods that weigh: thin bars, as dynamics/rod-forces.ts and leg-bars.ts have them, in the
 * base's frame. A bar between A and B of mass m has the kinetic energy m/6·(vA² + vA·vB + vB²); forces m/6·(2·aA + aB) and
 * m/6·(aA + 2·aB) at its ends move it. SI.
 */
import type { LegSet } from './legs.ts';
import type { Rods } from './statics.ts';

/** How base and plate move at an instant, in the base's frame: offsets into the arrays that hold it. */
export interface Moving {
  /** Of the base's carrier: turning, its rate, acceleration of the base's origin less g: 9 numbers. */
  readonly carrier: Float64Array;
  /** Of the plate against the base: velocity of the pivot and turning, then the rates of both: 12 numbers. */
  readonly plate: Float64Array;
  /** Rates and accelerations of the legs. */
  readonly v: Float64Array;
  readonly a: Float64Array;
}

export class Bars {
  readonly crank_kg: number;
  readonly rod_kg: number;
  /** After `add`: efforts of the legs that move tips alone; the wrench that the plate passes on, about the pivot; all of it, about the base's origin. */
  readonly effort = new Float64Array(6);
  readonly plate = new Float64Array(6);
  readonly all = new Float64Array(6);
  private readonly acc = new Float64Array(9);

  constructor(crank_kg: number, rod_kg: number) {
    this.crank_kg = crank_kg;
    this.rod_kg = rod_kg;
  }

  get weigh(): boolean {
    return this.crank_kg + this.rod_kg > 0;
  }

  add(legs: LegSet, rods: Rods, moving: Moving, c: number, p: number): void {
    const { acc, effort, plate, all } = this;
    plate.fill(0);
    all.fill(0);
    const crank = this.crank_kg / 6;
    const rod = this.rod_kg / 6;
    const { base, r, centre } = legs;
    const { tip, tangent } = rods;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      this.accelerate(legs, rods, moving, c, p, i);
      let pushed = 0;
      for (let k = 0; k < 3; k++) {
        const onTip = crank * (acc[k]! + 2 * acc[3 + k]!) + rod * (2 * acc[3 + k]! + acc[6 + k]!);
        pushed += onTip * tangent[j + k]!;
        const onEnd = rod * (acc[3 + k]! + 2 * acc[6 + k]!);
        const onAxis = crank * (2 * acc[k]! + acc[3 + k]!);
        plate[k]! += onEnd;
        all[k]! += onEnd + onTip + onAxis;
        // What each component turns about: the other two of its place.
        const [m, n] = [(k + 1) % 3, (k + 2) % 3];
        plate[3 + n]! -= r[j + m]! * onEnd;
        plate[3 + m]! += r[j + n]! * onEnd;
        all[3 + n]! -= (centre[m]! + r[j + m]!) * onEnd + (base[j + m]! + tip[j + m]!) * onTip + base[j + m]! * onAxis;
        all[3 + m]! += (centre[n]! + r[j + n]!) * onEnd + (base[j + n]! + tip[j + n]!) * onTip + base[j + n]! * onAxis;
      }
      effort[i] = pushed;
    }
  }

  /** Of the crank's axis, its tip and the rod's end of leg i: A + Ω̇×x + Ω×(Ω×x) + 2Ω×ẋ + ẍ. */
  private accelerate(legs: LegSet, rods: Rods, moving: Moving, c: number, p: number, i: number): void {
    const { acc } = this;
    const { carrier: o, plate: t } = moving;
    const { base, r, centre } = legs;
    const { tip, tangent } = rods;
    const j = 3 * i;
    const v = moving.v[i]!;
    const a = moving.a[i]!;
    carried(acc, 0, o, c, base[j]!, base[j + 1]!, base[j + 2]!, 0, 0, 0);
    const [tx, ty, tz] = [tangent[j]!, tangent[j + 1]!, tangent[j + 2]!];
    carried(
      acc,
      3,
      o,
      c,
      base[j]! + tip[j]!,
      base[j + 1]! + tip[j + 1]!,
      base[j + 2]! + tip[j + 2]!,
      v * tx,
      v * ty,
      v * tz,
    );
    for (let k = 0; k < 3; k++) acc[3 + k]! += a * tangent[j + k]! - v * v * tip[j + k]!;
    const [rx, ry, rz] = [r[j]!, r[j + 1]!, r[j + 2]!];
    const [wx, wy, wz] = [t[p + 3]!, t[p + 4]!, t[p + 5]!];
    const vx = t[p]! + wy * rz - wz * ry;
    const vy = t[p + 1]! + wz * rx - wx * rz;
    const vz = t[p + 2]! + wx * ry - wy * rx;
    carried(acc, 6, o, c, centre[0]! + rx, centre[1]! + ry, centre[2]! + rz, vx, vy, vz);
    endAcceleration(acc, 6, t, p, rx, ry, rz);
  }
}

/** Acceleration of a point at x that goes by with velocity v, of a body that turns; v counts twice (Coriolis). */
function carried(
  out: Float64Array,
  at: number,
  o: Float64Array,
  c: number,
  x: number,
  y: number,
  z: number,
  vx: number,
  vy: number,
  vz: number,
): void {
  const wx = o[c]!;
  const wy = o[c + 1]!;
  const wz = o[c + 2]!;
  const ax = o[c + 3]!;
  const ay = o[c + 4]!;
  const az = o[c + 5]!;
  const dot = wx * x + wy * y + wz * z;
  const square = wx * wx + wy * wy + wz * wz;
  out[at] = o[c + 6]! + ay * z - az * y + wx * dot - x * square + 2 * (wy * vz - wz * vy);
  out[at + 1] = o[c + 7]! + az * x - ax * z + wy * dot - y * square + 2 * (wz * vx - wx * vz);
  out[at + 2] = o[c + 8]! + ax * y - ay * x + wz * dot - z * square + 2 * (wx * vy - wy * vx);
}

/** Adds the acceleration of a rod's end, r from the pivot, against the base. t: 12 numbers as in Moving.plate. */
export function endAcceleration(
  out: Float64Array,
  at: number,
  t: Float64Array,
  p: number,
  x: number,
  y: number,
  z: number,
): void {
  const wx = t[p + 3]!;
  const wy = t[p + 4]!;
  const wz = t[p + 5]!;
  const ax = t[p + 9]!;
  const ay = t[p + 10]!;
  const az = t[p + 11]!;
  const dot = wx * x + wy * y + wz * z;
  const square = wx * wx + wy * wy + wz * wz;
  out[at]! += t[p + 6]! + ay * z - az * y + wx * dot - x * square;
  out[at + 1]! += t[p + 7]! + az * x - ax * z + wy * dot - y * square;
  out[at + 2]! += t[p + 8]! + ax * y - ay * x + wz * dot - z * square;
}
