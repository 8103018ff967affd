/**
 * The mass matrix of a tree of links: each link and all that it carries is one body, and what moves it with one joint is what
 * the joints beneath feel (Featherstone, Rigid Body Dynamics Algorithms, 6.2: composite rigid bodies). Everything in the world's
 * axes, about the world's origin; motions and wrenches as in spatial-inertia.ts; SI.
 */
import { type BarMasses, LegBars } from './leg-bars.ts';
import { type Flat, addCross, addScaled, copyAt, crossInto, turnInto } from './flat.ts';
import type { LegMotion } from './leg-motion.ts';
import type { Link } from './links.ts';
import { NUMBERS, addBody, dot6, timesMotion } from './spatial-inertia.ts';

/** A tree that is placed: 3 numbers a link, 9 of turns and inertias, as in tree.ts. */
export interface Placed {
  readonly links: readonly Link[];
  readonly legs: LegMotion | null;
  readonly turn: Flat;
  readonly origin: Flat;
  readonly point: Flat;
  readonly along: Flat;
  readonly com: Flat;
  readonly inertia: Flat;
}

export class MassMatrix {
  private readonly tree: Placed;
  private readonly size: number;
  private readonly bars: LegBars | null;
  /** By link, itself and all that it carries. */
  private readonly bodies: Flat;
  /** By joint, how the world's origin goes with it. */
  private readonly motions: Flat;
  private readonly wrench = new Float64Array(6);
  private readonly s = new Float64Array(3);

  /** @param size joints of the rig: rows and columns. */
  constructor(tree: Placed, size: number, bars: BarMasses) {
    this.tree = tree;
    this.size = size;
    this.bars = tree.legs && bars.crank_kg + bars.rod_kg > 0 ? new LegBars(tree.legs, bars) : null;
    this.bodies = new Float64Array(NUMBERS * tree.links.length);
    this.motions = new Float64Array(6 * size);
  }

  /** Adds it, of the joints with a place in space. @param out size×size, row-major: effort of joint i per acceleration of joint j. */
  addTo(out: Flat): void {
    const { links } = this.tree;
    this.weigh();
    for (let l = 1; l < links.length; l++) {
      const { kind, joint } = links[l]!;
      if (kind === 'axis') this.addAxis(l, joint, out);
      else if (kind === 'moving') this.addLegs(l, out);
    }
  }

  private weigh(): void {
    const { tree, bodies, bars, s } = this;
    const { links, turn, origin, com, inertia } = tree;
    bodies.fill(0);
    for (let l = links.length - 1; l > 0; l--) {
      const { kind, parent, body } = links[l]!;
      copyAt(s, 0, origin, 3 * l);
      addScaled(s, 0, com, 3 * l);
      addBody(bodies, NUMBERS * l, body.mass_kg, s, 0, turn, inertia, 9 * l);
      if (kind === 'moving' && bars) {
        bars.place(turn, 9 * parent, origin, 3 * parent, 3 * l);
        bars.addEnds(bodies, NUMBERS * l);
        bars.addOthers(bodies, NUMBERS * parent);
      }
      for (let k = 0; k < NUMBERS; k++) bodies[NUMBERS * parent + k]! += bodies[NUMBERS * l + k]!;
    }
  }

  /** An axis turns what it carries: ω along it, and its own points stand still. */
  private addAxis(l: number, joint: number, out: Flat): void {
    const { tree, motions, bodies, wrench, size } = this;
    const m = 6 * joint;
    crossInto(motions, m, tree.point, 3 * l, tree.along, 3 * l);
    copyAt(motions, m + 3, tree.along, 3 * l);
    timesMotion(wrench, 0, bodies, NUMBERS * l, motions, m);
    out[size * joint + joint]! += dot6(motions, m, wrench, 0);
    this.feel(l, joint, out);
  }

  private addLegs(l: number, out: Flat): void {
    const { motions, bodies, wrench, bars, size } = this;
    for (let j = 0; j < 6; j++) this.moveLeg(l, j);
    bars?.move(motions);
    for (let j = 0; j < 6; j++) {
      timesMotion(wrench, 0, bodies, NUMBERS * l, motions, 6 * j);
      for (let i = 0; i <= j; i++) {
        const effort = dot6(motions, 6 * i, wrench, 0) + (bars?.between(i, j) ?? 0);
        out[size * i + j]! += effort;
        if (i < j) out[size * j + i]! += effort;
      }
      bars?.addWrench(j, wrench);
      this.feel(l, j, out);
    }
  }

  /** The moving plate's motion with leg j: its twist in the base's axes is about the pivot, its own origin. */
  private moveLeg(l: number, j: number): void {
    const { motions, s } = this;
    const { links, legs, turn, origin } = this.tree;
    const base = 9 * links[l]!.parent;
    const m = 6 * j;
    for (let k = 0; k < 3; k++) {
      motions[m + k] = legs!.twists[6 * k + j]!;
      s[k] = legs!.twists[6 * k + 18 + j]!;
    }
    turnInto(motions, m, turn, base, motions, m);
    turnInto(motions, m + 3, turn, base, s, 0);
    addCross(motions, m, origin, 3 * l, motions, m + 3);
  }

  /** What all joints beneath link l feel of the wrench that moves it with a joint. */
  private feel(l: number, joint: number, out: Flat): void {
    const { links } = this.tree;
    for (let p = links[l]!.parent; p > 0; p = links[p]!.parent) {
      const { kind, joint: i } = links[p]!;
      if (kind === 'axis') this.feelAt(i, joint, out);
      else if (kind === 'moving') for (let leg = 0; leg < 6; leg++) this.feelAt(leg, joint, out);
    }
  }

  private feelAt(i: number, joint: number, out: Flat): void {
    const effort = dot6(this.motions, 6 * i, this.wrench, 0);
    out[this.size * i + joint]! += effort;
    out[this.size * joint + i]! += effort;
  }
}
