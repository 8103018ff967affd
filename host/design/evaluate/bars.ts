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
  /** What turning adds to the acceleration of a point that is fixed to the base, and to the plate: row-major. */
  private readonly carried = new Float64Array(9);
  private readonly plated = new Float64Array(9);

  constructor(crank_kg: number, rod_kg: number) {
    this.crank_kg = crank_kg;
    this.rod_kg = rod_kg;
  }

  get weigh(): boolean {
    return this.crank_kg + this.rod_kg > 0;
  }

  /** The same at rest, where all that accelerates is gravity: half a bar's weight at each end. @param up 1 g, upward, from `c` on. */
  hold({ base, r, centre }: LegSet, { tip, tangent }: Rods, up: Float64Array, c: number): void {
    const { effort, plate, all } = this;
    const onAxis = this.crank_kg / 2;
    const onTip = (this.crank_kg + this.rod_kg) / 2;
    const onEnd = this.rod_kg / 2;
    const gx = up[c]!;
    const gy = up[c + 1]!;
    const gz = up[c + 2]!;
    // Sums of mass times place: of the ends from the pivot, of all from the base.
    let ex = 0;
    let ey = 0;
    let ez = 0;
    let ax = 0;
    let ay = 0;
    let az = 0;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      effort[i] = onTip * (gx * tangent[j]! + gy * tangent[j + 1]! + gz * tangent[j + 2]!);
      ex += onEnd * r[j]!;
      ey += onEnd * r[j + 1]!;
      ez += onEnd * r[j + 2]!;
      ax += (onAxis + onTip) * base[j]! + onTip * tip[j]!;
      ay += (onAxis + onTip) * base[j + 1]! + onTip * tip[j + 1]!;
      az += (onAxis + onTip) * base[j + 2]! + onTip * tip[j + 2]!;
    }
    ax += ex + 6 * onEnd * centre[0]!;
    ay += ey + 6 * onEnd * centre[1]!;
    az += ez + 6 * onEnd * centre[2]!;
    putWeight(plate, 6 * onEnd, gx, gy, gz, ex, ey, ez);
    putWeight(all, 6 * (onAxis + onTip + onEnd), gx, gy, gz, ax, ay, az);
  }

  add(legs: LegSet, rods: Rods, moving: Moving, c: number, p: number): void {
    const { acc, effort, plate, all } = this;
    plate.fill(0);
    all.fill(0);
    const crank = this.crank_kg / 6;
    const rod = this.rod_kg / 6;
    turningInto(this.carried, moving.carrier, c, c + 3);
    turningInto(this.plated, moving.plate, p + 3, p + 9);
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
        const m = k === 2 ? 0 : k + 1;
        const n = k === 0 ? 2 : k - 1;
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
    const { acc, carried: C, plated: P } = this;
    const { carrier: o, plate: t } = moving;
    const { base, r, centre } = legs;
    const { tip, tangent } = rods;
    const j = 3 * i;
    const v = moving.v[i]!;
    const a = moving.a[i]!;
    const rx = r[j]!;
    const ry = r[j + 1]!;
    const rz = r[j + 2]!;
    const bx = base[j]!;
    const by = base[j + 1]!;
    const bz = base[j + 2]!;
    const tx = tip[j]!;
    const ty = tip[j + 1]!;
    const tz = tip[j + 2]!;
    const ex = centre[0]! + rx;
    const ey = centre[1]! + ry;
    const ez = centre[2]! + rz;
    // How tip and end go against the base.
    const sx = v * tangent[j]!;
    const sy = v * tangent[j + 1]!;
    const sz = v * tangent[j + 2]!;
    const vx = t[p]! + t[p + 4]! * rz - t[p + 5]! * ry;
    const vy = t[p + 1]! + t[p + 5]! * rx - t[p + 3]! * rz;
    const vz = t[p + 2]! + t[p + 3]! * ry - t[p + 4]! * rx;
    const wx = 2 * o[c]!;
    const wy = 2 * o[c + 1]!;
    const wz = 2 * o[c + 2]!;
    const square = v * v;
    for (let k = 0, q = 0; k < 3; k++, q += 3) {
      const fixed = o[c + 6 + k]! + C[q]! * bx + C[q + 1]! * by + C[q + 2]! * bz;
      acc[k] = fixed;
      acc[3 + k] = fixed + C[q]! * tx + C[q + 1]! * ty + C[q + 2]! * tz + a * tangent[j + k]! - square * tip[j + k]!;
      acc[6 + k] =
        o[c + 6 + k]! +
        C[q]! * ex +
        C[q + 1]! * ey +
        C[q + 2]! * ez +
        t[p + 6 + k]! +
        P[q]! * rx +
        P[q + 1]! * ry +
        P[q + 2]! * rz;
    }
    acc[3]! += wy * sz - wz * sy;
    acc[4]! += wz * sx - wx * sz;
    acc[5]! += wx * sy - wy * sx;
    acc[6]! += wy * vz - wz * vy;
    acc[7]! += wz * vx - wx * vz;
    acc[8]! += wx * vy - wy * vx;
  }
}

/** Of a body's turning at w and its rate at a: w·wᵀ - w²·1 + ẇ×, which takes a point's place to its acceleration. */
function turningInto(out: Float64Array, from: Float64Array, w: number, a: number): void {
  const x = from[w]!;
  const y = from[w + 1]!;
  const z = from[w + 2]!;
  out[0] = -y * y - z * z;
  out[1] = x * y - from[a + 2]!;
  out[2] = x * z + from[a + 1]!;
  out[3] = x * y + from[a + 2]!;
  out[4] = -x * x - z * z;
  out[5] = y * z - from[a]!;
  out[6] = x * z - from[a + 1]!;
  out[7] = y * z + from[a]!;
  out[8] = -x * x - y * y;
}

/** A wrench: so much mass, and its sum of mass times place, against g. */
function putWeight(
  out: Float64Array,
  kg: number,
  gx: number,
  gy: number,
  gz: number,
  x: number,
  y: number,
  z: number,
): void {
  out[0] = kg * gx;
  out[1] = kg * gy;
  out[2] = kg * gz;
  out[3] = y * gz - z * gy;
  out[4] = z * gx - x * gz;
  out[5] = x * gy - y * gx;
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
