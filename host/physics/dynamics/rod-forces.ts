/**
 * What it takes to move cranks and rods. Each is a straight thin bar of even weight, whose motion follows from its two ends: its
 * kinetic energy is m/6·(v1² + v1·v2 + v2²), so that the forces (2·a1 + a2)·m/6 and (a1 + 2·a2)·m/6 at its ends move it; gravity
 * is in the accelerations. Turning about its own length costs nothing. What an end feels of its own acceleration is that of a
 * point of m/3: the rods' ends are such points of the plate, the cranks' axes of the base, and their links carry them; all else
 * is summed here. Axes and units as in leg-motion.ts.
 */
import type { Vec3 } from '../../rig/rig.ts';
import { type Flat, addCross, addScaled, copyAt, crossInto, dotAt, turnInto } from './flat.ts';
import { type Body, NOTHING } from './inertia.ts';
import type { LegMotion } from './leg-motion.ts';

/** Six places, a leg each, as points of this mass. */
export const pointsAt = (places: Flat, mass_kg: number): Body[] =>
  [0, 3, 6, 9, 12, 15].map((j) => {
    const com_m: Vec3 = [places[j]!, places[j + 1]!, places[j + 2]!];
    return { ...NOTHING, mass_kg, com_m };
  });

/** How a body moves, in the carrier's axes: its angular velocity, its rate, acceleration of its origin less g: 9 numbers. */
export type BodyMotion = Flat;

export class RodForces {
  private readonly legs: LegMotion;
  /** A sixth of a crank's mass, and of a rod's. */
  private readonly crank: number;
  private readonly rod: number;
  /** Ω̇× + Ω×Ω×: what turning adds to the acceleration of a point that is fixed to the carrier, and to the plate. */
  private readonly turning = new Float64Array(18);
  /** Accelerations of the crank's axis, its tip, the rod's end. */
  private readonly acc = new Float64Array(9);
  private readonly coriolis = new Float64Array(3);
  private readonly force = new Float64Array(3);
  private readonly place = new Float64Array(3);

  constructor(legs: LegMotion, crank_kg: number, rod_kg: number) {
    this.legs = legs;
    this.crank = crank_kg / 6;
    this.rod = rod_kg / 6;
  }

  /**
   * @param v, a rates and accelerations of the legs.
   * @param carrier of the base; @param moving of the plate, its origin the pivot.
   * @param out the legs' efforts, of what moves tips alone: added to.
   * @param plate the wrench that the plate passes on to the rods' ends, about the pivot: added to.
   * @param all the wrench on all of it, about the base's origin: added to.
   */
  add(v: Flat, a: Flat, carrier: BodyMotion, moving: BodyMotion, out: Flat, plate: Flat, all: Flat): void {
    const { legs, crank, rod, acc, force, place } = this;
    turningInto(this.turning, 0, carrier);
    turningInto(this.turning, 9, moving);
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      this.accelerate(i, v[i]!, a[i]!, carrier, moving);
      copyAt(place, 0, legs.base, j);
      addAt(all, acc, 3, place, 0, crank);
      for (let k = 0; k < 3; k++) {
        place[k]! += legs.crank[j + k]!;
        force[k] = crank * acc[k]! + 2 * (crank + rod) * acc[3 + k]! + rod * acc[6 + k]!;
      }
      addAt(all, force, 0, place, 0, 1);
      out[i]! += dotAt(force, 0, legs.tangent, j);
      addScaled(place, 0, legs.rod, j);
      addAt(all, acc, 3, place, 0, rod);
      addAt(plate, acc, 3, legs.arm, j, rod);
    }
  }

  /**
   * Of the three joints of leg i. Axis and end are fixed to base and plate; the tip moves in the carrier: A + Ω̇×x + Ω×(Ω×x) +
   * 2Ω×ẋ + ẍ, of which the axis has its own share.
   */
  private accelerate(i: number, v: number, a: number, carrier: BodyMotion, moving: BodyMotion): void {
    const { legs, acc, turning, coriolis } = this;
    const j = 3 * i;
    turnInto(acc, 0, turning, 0, legs.base, j);
    turnInto(acc, 3, turning, 0, legs.crank, j);
    turnInto(acc, 6, turning, 9, legs.arm, j);
    crossInto(coriolis, 0, carrier, 0, legs.tangent, j);
    for (let k = 0; k < 3; k++) {
      acc[k]! += carrier[6 + k]!;
      acc[3 + k]! += acc[k]! + 2 * v * coriolis[k]! + a * legs.tangent[j + k]! - v * v * legs.crank[j + k]!;
      acc[6 + k]! += moving[6 + k]!;
    }
  }
}

/** Adds k times a force at a place to a wrench. */
function addAt(wrench: Flat, force: Flat, f: number, place: Flat, p: number, k: number): void {
  addScaled(wrench, 0, force, f, k);
  addCross(wrench, 3, place, p, force, f, k);
}

/** Of a body's angular velocity w and its rate: w·wᵀ - w² + ẇ×. */
function turningInto(out: Flat, o: number, body: BodyMotion): void {
  const x = body[0]!;
  const y = body[1]!;
  const z = body[2]!;
  out[o] = -y * y - z * z;
  out[o + 1] = x * y - body[5]!;
  out[o + 2] = x * z + body[4]!;
  out[o + 3] = x * y + body[5]!;
  out[o + 4] = -x * x - z * z;
  out[o + 5] = y * z - body[3]!;
  out[o + 6] = x * z - body[4]!;
  out[o + 7] = y * z + body[3]!;
  out[o + 8] = -x * x - y * y;
}
