/**
 * One instant of one candidate: what its joints must give there, and how they go. Inverse dynamics as dynamics/tree.ts has it, with
 * what does not depend on the design prepared (instants.ts). SI.
 */
import type { Bars, Moving } from './bars.ts';
import type { Crew } from './crew.ts';
import { STANDS, useAt } from './drives.ts';
import { HOPELESS } from '../figures.ts';
import type { Instants } from './instants.ts';
import type { LegSet } from './legs.ts';
import { endAcceleration } from './bars.ts';
import type { Rods } from './statics.ts';

export class Moment {
  /** Efforts of legs and axes, at the joint's coordinate; use of each axis, and the largest of a leg. */
  readonly leg = new Float64Array(6);
  readonly axis: Float64Array;
  readonly axisUse: Float64Array;
  /** Of each leg. */
  readonly use = new Float64Array(6);
  legUse = 0;
  current = 0;
  private readonly v = new Float64Array(6);
  private readonly a = new Float64Array(6);
  private readonly acc = new Float64Array(3);
  private readonly wrench = new Float64Array(6);
  private readonly moving: { -readonly [K in keyof Moving]: Moving[K] };

  constructor(axes: number) {
    this.axis = new Float64Array(axes);
    this.axisUse = new Float64Array(axes);
    const none = new Float64Array(12);
    this.moving = { carrier: none, plate: none, v: this.v, a: this.a };
  }

  /** Places the legs at instant n. @returns whether they reach. */
  place(instants: Instants, n: number, legs: LegSet): boolean {
    const { turn, shift } = instants;
    for (let k = 0; k < 9; k++) legs.turn[k] = turn[9 * n + k]!;
    return legs.place(shift[3 * n]!, shift[3 * n + 1]!, shift[3 * n + 2]!);
  }

  /**
   * Efforts at instant n, of legs that are placed there. @param height of home, m; @param isMoving false: it is at rest there.
   * @returns false: singular.
   */
  work(
    instants: Instants,
    n: number,
    height: number,
    legs: LegSet,
    rods: Rods,
    bars: Bars,
    crew: Crew,
    isMoving: boolean,
  ): boolean {
    const { v, a, wrench, moving, leg } = this;
    rods.put(legs);
    if (isMoving) this.goLegs(instants, n, legs, rods);
    else {
      v.fill(0);
      a.fill(0);
    }
    for (let k = 0; k < 6; k++) wrench[k] = instants.wrench[6 * n + k]! + height * instants.wrenchPer[6 * n + k]!;
    if (bars.weigh) {
      moving.carrier = instants.carrier;
      moving.plate = instants.plate;
      if (isMoving) bars.add(legs, rods, moving, 9 * n, 12 * n);
      else bars.hold(legs, rods, instants.carrier, 9 * n + 6);
      for (let k = 0; k < 6; k++) wrench[k]! += bars.plate[k]!;
    }
    if (!rods.solve(wrench)) return false;
    for (let i = 0; i < 6; i++) {
      let effort = rods.effort[i]! + crew.leg.rotor * a[i]!;
      if (bars.weigh) effort += bars.effort[i]!;
      leg[i] = effort;
    }
    this.workAxes(instants, n, height, bars, crew);
    return true;
  }

  /** Rates and accelerations of the legs: see LegMotion.motion, the other way round. */
  private goLegs({ plate: t }: Instants, n: number, legs: LegSet, rods: Rods): void {
    const { v, a, acc } = this;
    const { r, linear } = legs;
    const { rod, moment, lever, tangent, tip } = rods;
    const p = 12 * n;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      const x = r[j]!;
      const y = r[j + 1]!;
      const z = r[j + 2]!;
      const along = rod[j]! * t[p]! + rod[j + 1]! * t[p + 1]! + rod[j + 2]! * t[p + 2]!;
      const about = moment[j]! * t[p + 3]! + moment[j + 1]! * t[p + 4]! + moment[j + 2]! * t[p + 5]!;
      const rate = (along + about) / lever[i]!;
      v[i] = rate;
      acc[0] = acc[1] = acc[2] = 0;
      endAcceleration(acc, 0, t, p, x, y, z);
      const vx = t[p]! + t[p + 4]! * z - t[p + 5]! * y;
      const vy = t[p + 1]! + t[p + 5]! * x - t[p + 3]! * z;
      const vz = t[p + 2]! + t[p + 3]! * y - t[p + 4]! * x;
      let sum = rod[j]! * acc[0] + rod[j + 1]! * acc[1] + rod[j + 2]! * acc[2];
      if (linear) sum += vx * vx + vy * vy + vz * vz - rate * rate;
      else {
        const dx = vx - rate * tangent[j]!;
        const dy = vy - rate * tangent[j + 1]!;
        const dz = vz - rate * tangent[j + 2]!;
        sum += dx * dx + dy * dy + dz * dz;
        sum += rate * rate * (rod[j]! * tip[j]! + rod[j + 1]! * tip[j + 1]! + rod[j + 2]! * tip[j + 2]!);
      }
      a[i] = sum / lever[i]!;
    }
  }

  private workAxes(instants: Instants, n: number, height: number, bars: Bars, crew: Crew): void {
    const { axis } = this;
    const axes = axis.length;
    const weights = crew.weight.length;
    for (let k = 0; k < axes; k++) {
      const at = n * axes + k;
      let effort = parabolaAt(instants.effort, 3 * at, height) + crew.rotor[k]! * instants.a[at]!;
      for (let w = 0; w < weights; w++)
        if (crew.weight[w] !== 0)
          effort += crew.weight[w]! * parabolaAt(instants.weight, 3 * ((n * weights + w) * axes + k), crew.arm[w]!);
      if (bars.weigh && instants.carries[k] !== 0) effort += onAxis(instants, 3 * at, bars.all);
      axis[k] = effort;
    }
  }

  /** Adds friction of what moves, and tells uses and current. */
  spend(instants: Instants, n: number, crew: Crew, linear: boolean): void {
    const { leg, v, axis, axisUse } = this;
    const drive = crew.leg;
    const stands = linear ? STANDS / 1000 : STANDS;
    let worst = 0;
    let current = instants.lone[n]!;
    for (let i = 0; i < 6; i++) {
      const effort = leg[i]! + rub(drive.friction, v[i]!, stands);
      leg[i] = effort;
      const use = useAt(drive.stall, drive.top, effort, v[i]!, HOPELESS);
      this.use[i] = use;
      if (!(use <= worst)) worst = use;
      current += drawn(drive.amps, drive.stall, effort);
    }
    this.legUse = worst;
    for (let k = 0; k < axis.length; k++) {
      const rate = instants.v[n * axis.length + k]!;
      const effort = axis[k]! + rub(crew.friction[k]!, rate, STANDS);
      axis[k] = effort;
      axisUse[k] = useAt(crew.stall[k]!, crew.top[k]!, effort, rate, HOPELESS);
      current += drawn(crew.amps[k]!, crew.stall[k]!, effort);
    }
    this.current = current;
  }
}

export const parabolaAt = (c: Float64Array, at: number, x: number): number =>
  c[at]! + x * (c[at + 1]! + x * c[at + 2]!);

/** Dry friction: servo-line.ts. */
const rub = (friction: number, v: number, stands: number): number =>
  friction === 0 || (v < stands && v > -stands) ? 0 : v < 0 ? -friction : friction;

function drawn(amps: number, stall: number, effort: number): number {
  if (amps === 0) return 0;
  const share = (effort < 0 ? -effort : effort) / stall;
  return share < 1 ? amps * share : amps;
}

/** Effort of an axis that gives a wrench about the base's origin. */
function onAxis({ along: u, point: p }: Instants, o: number, wrench: Float64Array): number {
  const x = wrench[3]! - (p[o + 1]! * wrench[2]! - p[o + 2]! * wrench[1]!);
  const y = wrench[4]! - (p[o + 2]! * wrench[0]! - p[o]! * wrench[2]!);
  const z = wrench[5]! - (p[o]! * wrench[1]! - p[o + 1]! * wrench[0]!);
  return u[o]! * x + u[o + 1]! * y + u[o + 2]! * z;
}
