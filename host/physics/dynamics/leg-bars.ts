/**
 * What rods and cranks add to the mass matrix. Each is a thin bar of even weight: between A and B that has the kinetic energy
 * m/6·(vA² + vA·vB + vB²), three pairs of points with m/3 each. A rod's end with itself goes with the plate, a point that weighs;
 * its tip with itself, and the crank, go with one leg; a rod's tip with its end is what couples legs. In the world's axes, about
 * its origin; motions and wrenches as in spatial-inertia.ts; SI.
 */
import { type Flat, addCross, addScaled, copyAt, crossInto, dotAt, turnInto } from './flat.ts';
import type { LegMotion } from './leg-motion.ts';
import { addPair, dot6 } from './spatial-inertia.ts';

/** Of one crank and of one rod. */
export interface BarMasses {
  readonly crank_kg: number;
  readonly rod_kg: number;
}

export class LegBars {
  private readonly legs: LegMotion;
  /** A third of a crank's mass, and of a rod's. */
  private readonly crank: number;
  private readonly rod: number;
  /** By leg: the crank's axis, its tip, the rod's end. */
  private readonly base = new Float64Array(18);
  private readonly tip = new Float64Array(18);
  private readonly end = new Float64Array(18);
  /** How the tip goes per rad; the same as a force at the rod's end: a wrench. */
  private readonly tangent = new Float64Array(18);
  private readonly pull = new Float64Array(36);
  /** The plate's motion with each leg. */
  private motions: Flat = new Float64Array(36);
  private readonly force = new Float64Array(3);

  constructor(legs: LegMotion, { crank_kg, rod_kg }: BarMasses) {
    this.legs = legs;
    this.crank = crank_kg / 3;
    this.rod = rod_kg / 3;
  }

  /** @param turn, origin of the base at t and b; the plate's origin, the pivot, at p. */
  place(turn: Flat, t: number, origin: Flat, b: number, p: number): void {
    const { legs, base, tip, end, tangent, pull } = this;
    for (let j = 0; j < 18; j += 3) {
      turnInto(base, j, turn, t, legs.base, j);
      addScaled(base, j, origin, b);
      turnInto(tip, j, turn, t, legs.crank, j);
      addScaled(tip, j, base, j);
      turnInto(end, j, turn, t, legs.arm, j);
      addScaled(end, j, origin, p);
      turnInto(tangent, j, turn, t, legs.tangent, j);
      copyAt(pull, 2 * j, tangent, j);
      crossInto(pull, 2 * j + 3, end, j, tangent, j);
    }
  }

  /** Adds what goes with the plate to a body. */
  addEnds(body: Flat, b: number): void {
    for (let j = 0; j < 18; j += 3) addPair(body, b, this.rod, this.end, j, this.end, j);
  }

  /** Adds all else to the body of what carries the legs. */
  addOthers(body: Flat, b: number): void {
    const { crank, rod, base, tip, end } = this;
    for (let j = 0; j < 18; j += 3) {
      addPair(body, b, crank, base, j, base, j);
      addPair(body, b, crank, base, j, tip, j);
      addPair(body, b, crank + rod, tip, j, tip, j);
      addPair(body, b, rod, tip, j, end, j);
    }
  }

  /** Takes the plate's motion with each leg, 6 numbers a leg. */
  move(motions: Flat): void {
    this.motions = motions;
  }

  /** Effort of leg i per acceleration of leg j, beyond that of what goes with the plate. */
  between(i: number, j: number): number {
    const { crank, rod, tangent, pull, motions } = this;
    const coupled = (rod / 2) * (dot6(pull, 6 * i, motions, 6 * j) + dot6(pull, 6 * j, motions, 6 * i));
    return i === j ? coupled + (crank + rod) * dotAt(tangent, 3 * i, tangent, 3 * i) : coupled;
  }

  /** Adds to a wrench what else moves with leg j. */
  addWrench(j: number, wrench: Flat): void {
    const { crank, rod, base, tip, end, tangent, motions, force } = this;
    addAt(wrench, tangent, 3 * j, base, 3 * j, crank / 2);
    addAt(wrench, tangent, 3 * j, tip, 3 * j, crank + rod);
    addScaled(wrench, 0, this.pull, 6 * j, rod / 2);
    addScaled(wrench, 3, this.pull, 6 * j + 3, rod / 2);
    for (let i = 0; i < 18; i += 3) {
      copyAt(force, 0, motions, 6 * j);
      addCross(force, 0, motions, 6 * j + 3, end, i);
      addAt(wrench, force, 0, tip, i, rod / 2);
    }
  }
}

/** Adds k times a force at a place to a wrench. */
function addAt(wrench: Flat, force: Flat, f: number, place: Flat, p: number, k: number): void {
  addScaled(wrench, 0, force, f, k);
  addCross(wrench, 3, place, p, force, f, k);
}
