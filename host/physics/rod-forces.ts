/**
 * What it takes to move cranks and rods. Each is a straight thin bar of even weight, whose motion follows from its two ends: its
 * kinetic energy is m/6·(v1² + v1·v2 + v2²), so that the forces (2·a1 + a2)·m/6 and (a1 + 2·a2)·m/6 at its ends move it; gravity
 * is in the accelerations. Turning about its own length costs nothing. Axes and units as in leg-motion.ts.
 */
import { type Flat, addCross, addDoubleCross, addScaled, copyAt, dotAt, turnInto } from './flat.ts';
import type { LegMotion } from './leg-motion.ts';

/** What moves rods and cranks besides the legs' own rates. */
export interface Moving {
  /** The plate's, as LegMotion gives them. */
  readonly twist: Flat;
  readonly rate: Flat;
  /** The carrier's, in its own axes: angular velocity, its rate, acceleration of the base's origin less g: 9 numbers. */
  readonly carrier: Flat;
}

export class RodForces {
  private readonly legs: LegMotion;
  private readonly crank_kg: number;
  private readonly rod_kg: number;
  /** A point's place, velocity, acceleration, relative to the carrier. */
  private readonly point = new Float64Array(9);
  /** Ω̇× + Ω×Ω×: what the carrier's turning adds to the acceleration of a point that is fixed to it. */
  private readonly turning = new Float64Array(9);
  /** Accelerations of the crank's axis, its tip, the rod's end. */
  private readonly acc = new Float64Array(9);
  private readonly force = new Float64Array(3);
  private readonly place = new Float64Array(3);

  constructor(legs: LegMotion, crank_kg: number, rod_kg: number) {
    this.legs = legs;
    this.crank_kg = crank_kg;
    this.rod_kg = rod_kg;
  }

  /**
   * @param v, a rates and accelerations of the legs.
   * @param out the legs' efforts, of what moves tips alone: added to.
   * @param plate the wrench that the plate passes on to the rods' ends, about the pivot: added to.
   * @param all the wrench on all of it, about the base's origin: added to.
   */
  add(v: Flat, a: Flat, moving: Moving, out: Flat, plate: Flat, all: Flat): void {
    const { legs, force, place } = this;
    const crank = this.crank_kg / 6;
    const rod = this.rod_kg / 6;
    turningInto(this.turning, moving.carrier);
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      this.accelerate(i, v[i]!, a[i]!, moving);
      this.mix(2 * crank, crank, 0);
      copyAt(place, 0, legs.base, j);
      addAt(all, force, place);
      this.mix(crank, 2 * (crank + rod), rod);
      addScaled(place, 0, legs.crank, j);
      addAt(all, force, place);
      out[i]! += dotAt(force, 0, legs.tangent, j);
      this.mix(0, rod, 2 * rod);
      addScaled(place, 0, legs.rod, j);
      addAt(all, force, place);
      copyAt(place, 0, legs.arm, j);
      addAt(plate, force, place);
    }
  }

  /** Accelerations of the three joints of leg i. */
  private accelerate(i: number, v: number, a: number, { twist, rate, carrier }: Moving): void {
    const { legs, point: p, acc, turning } = this;
    const j = 3 * i;
    turnInto(acc, 0, turning, 0, legs.base, j);
    addScaled(acc, 0, carrier, 6);
    for (let k = 0; k < 3; k++) {
      p[k] = legs.base[j + k]! + legs.crank[j + k]!;
      p[3 + k] = v * legs.tangent[j + k]!;
      p[6 + k] = a * legs.tangent[j + k]! - v * v * legs.crank[j + k]!;
    }
    this.seenFromOutside(carrier, 3);
    for (let k = 0; k < 3; k++) p[k] = legs.pivot[k]! + legs.arm[j + k]!;
    copyAt(p, 3, twist, 0);
    addCross(p, 3, twist, 3, legs.arm, j);
    copyAt(p, 6, rate, 0);
    addCross(p, 6, rate, 3, legs.arm, j);
    addDoubleCross(p, 6, twist, 3, legs.arm, j);
    this.seenFromOutside(carrier, 6);
  }

  /** Acceleration less g of the point, which moves in the carrier: A + Ω̇×x + Ω×(Ω×x) + 2Ω×ẋ + ẍ. */
  private seenFromOutside(carrier: Flat, o: number): void {
    const { acc, point, turning } = this;
    turnInto(acc, o, turning, 0, point, 0);
    addScaled(acc, o, carrier, 6);
    addScaled(acc, o, point, 6);
    addCross(acc, o, carrier, 0, point, 3, 2);
  }

  /** force = the three accelerations, each by a mass. */
  private mix(axis: number, tip: number, end: number): void {
    const { force, acc } = this;
    for (let k = 0; k < 3; k++) force[k] = axis * acc[k]! + tip * acc[3 + k]! + end * acc[6 + k]!;
  }
}

/** Adds a force at a place to a wrench. */
function addAt(wrench: Flat, force: Flat, place: Flat): void {
  addScaled(wrench, 0, force, 0);
  addCross(wrench, 3, place, 0, force, 0);
}

/** Of the carrier's angular velocity w and its rate: w·wᵀ - w² + ẇ×. */
function turningInto(out: Flat, carrier: Flat): void {
  const x = carrier[0]!;
  const y = carrier[1]!;
  const z = carrier[2]!;
  out[0] = -y * y - z * z;
  out[1] = x * y - carrier[5]!;
  out[2] = x * z + carrier[4]!;
  out[3] = x * y + carrier[5]!;
  out[4] = -x * x - z * z;
  out[5] = y * z - carrier[3]!;
  out[6] = x * z - carrier[4]!;
  out[7] = y * z + carrier[3]!;
  out[8] = -x * x - y * y;
}
