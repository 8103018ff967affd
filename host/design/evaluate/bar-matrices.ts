/**
 * What cranks and rods that weigh add to a candidate's mass matrix and to gravity's stiffness, in the plate's twist and the axes: thin
 * bars, as bars.ts; their weight is that of points of half their mass at their ends. Lower triangles; SI.
 */
import { G_M_S2 } from '../../physics/dynamics/mechanism.ts';
import type { Bars } from './bars.ts';
import type { LegSet } from './legs.ts';
import type { Modes } from './modes.ts';
import type { Rods } from './statics.ts';

/** Axes in space by coordinate behind the plate's six, in the base's frame. */
export interface Carriers {
  readonly along: Float64Array;
  readonly point: Float64Array;
  /** Where an instant's begin. */
  readonly from: number;
  /** 1: carries the base. */
  readonly carries: Uint8Array;
  /** Row-major: 1: the first carries the second, or is it. */
  readonly over: Uint8Array;
}

export class BarMatrices {
  private readonly size: number;
  /** How a crank's axis, its tip and the rod's end go with each coordinate: 3 a coordinate. */
  private readonly axis: Float64Array;
  private readonly tip: Float64Array;
  private readonly end: Float64Array;

  constructor(size: number) {
    this.size = size;
    [this.axis, this.tip, this.end] = [
      new Float64Array(3 * size),
      new Float64Array(3 * size),
      new Float64Array(3 * size),
    ];
  }

  /** @param acc acceleration of the base less g at rest, from `a` on: g upward. */
  add(modes: Modes, legs: LegSet, rods: Rods, bars: Bars, acc: Float64Array, a: number, carriers: Carriers): void {
    const up = [acc[a]! / G_M_S2, acc[a + 1]! / G_M_S2, acc[a + 2]! / G_M_S2] as const;
    for (let i = 0; i < 6; i++) {
      this.move(modes.rates, legs, rods, i, carriers);
      this.addMass(modes.M, bars);
      this.addHeights(modes, legs, rods, bars, i, up, carriers);
    }
  }

  private move(rates: Float64Array, legs: LegSet, rods: Rods, i: number, carriers: Carriers): void {
    const { axis, tip, end } = this;
    const { base, r, centre } = legs;
    const j = 3 * i;
    axis.fill(0);
    end.fill(0);
    for (let k = 0; k < 6; k++) for (let c = 0; c < 3; c++) tip[3 * k + c] = rods.tangent[j + c]! * rates[6 * i + k]!;
    end[0] = end[4] = end[8] = 1;
    // δ×r.
    end[10] = -r[j + 2]!;
    end[11] = r[j + 1]!;
    end[12] = r[j + 2]!;
    end[14] = -r[j]!;
    end[15] = -r[j + 1]!;
    end[16] = r[j]!;
    for (let k = 6; k < this.size; k++) {
      tip[3 * k] = tip[3 * k + 1] = tip[3 * k + 2] = 0;
      if (carriers.carries[k - 6] === 0) continue;
      turned(axis, 3 * k, carriers, k - 6, base[j]!, base[j + 1]!, base[j + 2]!);
      const t = rods.tip;
      turned(tip, 3 * k, carriers, k - 6, base[j]! + t[j]!, base[j + 1]! + t[j + 1]!, base[j + 2]! + t[j + 2]!);
      turned(end, 3 * k, carriers, k - 6, centre[0]! + r[j]!, centre[1]! + r[j + 1]!, centre[2]! + r[j + 2]!);
    }
  }

  private addMass(M: Float64Array, { crank_kg, rod_kg }: Bars): void {
    const { axis, tip, end, size } = this;
    const [crank, rod] = [crank_kg / 6, rod_kg / 6];
    for (let k = 0; k < size; k++)
      for (let c = 3 * k; c < 3 * k + 3; c++) {
        const onAxis = crank * (2 * axis[c]! + tip[c]!);
        const onTip = crank * (axis[c]! + 2 * tip[c]!) + rod * (2 * tip[c]! + end[c]!);
        const onEnd = rod * (tip[c]! + 2 * end[c]!);
        for (let n = 0, o = c - 3 * k; n <= k; n++, o += 3)
          M[k * size + n]! += onAxis * axis[o]! + onTip * tip[o]! + onEnd * end[o]!;
      }
  }

  private addHeights(
    { K, rates }: Modes,
    { r }: LegSet,
    rods: Rods,
    { crank_kg, rod_kg }: Bars,
    i: number,
    up: readonly [number, number, number],
    carriers: Carriers,
  ): void {
    const { axis, tip, end, size } = this;
    const [onAxis, onTip, onEnd] = [(crank_kg * G_M_S2) / 2, ((crank_kg + rod_kg) * G_M_S2) / 2, (rod_kg * G_M_S2) / 2];
    const j = 3 * i;
    const fall = onTip * (up[0] * rods.tip[j]! + up[1] * rods.tip[j + 1]! + up[2] * rods.tip[j + 2]!);
    for (let k = 0; k < 6; k++)
      for (let n = 0; n <= k; n++) K[k * size + n]! -= fall * rates[6 * i + k]! * rates[6 * i + n]!;
    const high = up[0] * r[j]! + up[1] * r[j + 1]! + up[2] * r[j + 2]!;
    for (let k = 0; k < 3; k++) {
      K[(3 + k) * size + 3 + k]! -= onEnd * high;
      for (let n = 0; n <= k; n++)
        K[(3 + k) * size + 3 + n]! += (onEnd * (up[k]! * r[j + n]! + up[n]! * r[j + k]!)) / 2;
    }
    for (let k = 6; k < size; k++) {
      if (carriers.carries[k - 6] === 0) continue;
      const o = carriers.from + 3 * (k - 6);
      const u = carriers.along;
      const x = up[1] * u[o + 2]! - up[2] * u[o + 1]!;
      const y = up[2] * u[o]! - up[0] * u[o + 2]!;
      const z = up[0] * u[o + 1]! - up[1] * u[o]!;
      for (let n = 0, p = 0; n < size; n++, p += 3) {
        if (n >= 6 && carriers.over[(k - 6) * (size - 6) + n - 6] === 0) continue;
        const value =
          x * (onAxis * axis[p]! + onTip * tip[p]! + onEnd * end[p]!) +
          y * (onAxis * axis[p + 1]! + onTip * tip[p + 1]! + onEnd * end[p + 1]!) +
          z * (onAxis * axis[p + 2]! + onTip * tip[p + 2]! + onEnd * end[p + 2]!);
        K[n <= k ? k * size + n : n * size + k]! += value;
      }
    }
  }
}

/** How a point of the base's frame goes when axis k turns. */
function turned(
  out: Float64Array,
  at: number,
  { along, point, from }: Carriers,
  k: number,
  x: number,
  y: number,
  z: number,
): void {
  const o = from + 3 * k;
  const ax = x - point[o]!;
  const ay = y - point[o + 1]!;
  const az = z - point[o + 2]!;
  out[at] = along[o + 1]! * az - along[o + 2]! * ay;
  out[at + 1] = along[o + 2]! * ax - along[o]! * az;
  out[at + 2] = along[o]! * ay - along[o + 1]! * ax;
}
