/**
 * What it takes to move cranks and rods. Each is a straight thin bar of even weight, whose motion follows from its two ends: its
 * kinetic energy is m/6·(v1² + v1·v2 + v2²), so that the forces (2·a1 + a2)·m/6 and (a1 + 2·a2)·m/6 at its ends move it; gravity
 * is in the accelerations. Turning about its own length costs nothing. Axes and units as in leg-motion.ts.
 */
import { type Flat, addCross, addDoubleCross, addScaled, copyAt, dotAt } from './flat.ts';
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
    const { legs, force, place, crank_kg, rod_kg } = this;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      this.accelerate(i, v[i]!, a[i]!, moving);
      this.mix(crank_kg / 6, 2, 1, 0);
      copyAt(place, 0, legs.base, j);
      addAt(all, force, place);
      this.mix(crank_kg / 6, 1, 2, 0);
      this.mix(rod_kg / 6, 0, 2, 1, false);
      addScaled(place, 0, legs.crank, j);
      addAt(all, force, place);
      out[i]! += dotAt(force, 0, legs.tangent, j);
      this.mix(rod_kg / 6, 0, 1, 2);
      addScaled(place, 0, legs.rod, j);
      addAt(all, force, place);
      copyAt(place, 0, legs.arm, j);
      addAt(plate, force, place);
    }
  }

  /** Accelerations of the three joints of leg i. */
  private accelerate(i: number, v: number, a: number, { twist, rate, carrier }: Moving): void {
    const { legs, point: p, acc } = this;
    const j = 3 * i;
    p.fill(0);
    copyAt(p, 0, legs.base, j);
    seenFromOutside(carrier, p, acc, 0);
    addScaled(p, 0, legs.crank, j);
    addScaled(p, 3, legs.tangent, j, v);
    addScaled(p, 6, legs.tangent, j, a);
    addScaled(p, 6, legs.crank, j, -v * v);
    seenFromOutside(carrier, p, acc, 3);
    copyAt(p, 0, legs.pivot, 0);
    addScaled(p, 0, legs.arm, j);
    copyAt(p, 3, twist, 0);
    addCross(p, 3, twist, 3, legs.arm, j);
    copyAt(p, 6, rate, 0);
    addCross(p, 6, rate, 3, legs.arm, j);
    addDoubleCross(p, 6, twist, 3, legs.arm, j);
    seenFromOutside(carrier, p, acc, 6);
  }

  /** force = m·(the three accelerations, weighted), or added to it. */
  private mix(m: number, axis: number, tip: number, end: number, fresh = true): void {
    const { force, acc } = this;
    if (fresh) force.fill(0);
    addScaled(force, 0, acc, 0, m * axis);
    addScaled(force, 0, acc, 3, m * tip);
    addScaled(force, 0, acc, 6, m * end);
  }
}

/** Adds a force at a place to a wrench. */
function addAt(wrench: Flat, force: Flat, place: Flat): void {
  addScaled(wrench, 0, force, 0);
  addCross(wrench, 3, place, 0, force, 0);
}

/** Acceleration less g of a point that moves in the carrier: A + Ω̇×x + Ω×(Ω×x) + 2Ω×ẋ + ẍ. */
function seenFromOutside(carrier: Flat, point: Flat, out: Flat, o: number): void {
  copyAt(out, o, carrier, 6);
  addScaled(out, o, point, 6);
  addCross(out, o, carrier, 3, point, 0);
  addDoubleCross(out, o, carrier, 0, point, 0);
  addCross(out, o, carrier, 0, point, 3, 2);
}
