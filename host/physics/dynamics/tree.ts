/**
 * The links of a rig in the world, and what efforts a motion of the joints takes: Newton and Euler's equations outward, link by
 * link, and the wrenches back inward (Featherstone, Rigid Body Dynamics Algorithms, ch. 5; Lynch & Park, Modern Robotics, 8.3),
 * with the six legs as one step between base and moving plate. SI: m, rad, N, N·m; linear legs m.
 */
import type { Platform, Pose } from '../../rig/rig.ts';
import { axisMatrix } from '../../rig/rotation.ts';
import {
  type Flat,
  addCross,
  addDoubleCross,
  addScaled,
  copyAt,
  crossInto,
  dotAt,
  timesInto,
  turnBackInto,
  turnInto,
} from './flat.ts';
import { LegMotion } from './leg-motion.ts';
import type { Link } from './links.ts';
import type { Placed } from './mass-matrix.ts';
import { type Body, together } from './inertia.ts';
import { RodForces, pointsAt } from './rod-forces.ts';

export class Tree implements Placed {
  readonly links: readonly Link[];
  readonly legs: LegMotion | null;
  private readonly rods: RodForces | null;
  private readonly crank_kg: number;
  private readonly rod_kg: number;
  /** Each link's rotation and origin in the world; for an axis a point of it and its direction. */
  readonly turn: Flat;
  readonly origin: Flat;
  readonly point: Flat;
  readonly along: Flat;
  /** From a link's origin to its centre of mass. */
  readonly com: Flat;
  /** About the centre of mass, in the link's own axes. */
  readonly inertia: Flat;
  /** The same of what moves as a part of the link: its own body, and points that stand for bars' ends (rod-forces.ts). */
  private readonly laden_kg: Flat;
  private readonly ladenCom_m: Flat;
  private readonly ladenInertia: Flat;
  private readonly at_m: Flat;
  private readonly along_m: Flat;
  private readonly com_m: Flat;
  private readonly omega: Flat;
  private readonly alpha: Flat;
  /** Of the origin, less g. */
  private readonly acc: Flat;
  /** About the world's origin. */
  private readonly force: Flat;
  private readonly moment: Flat;
  private readonly twist = new Float64Array(6);
  private readonly rate = new Float64Array(6);
  private readonly wrench = new Float64Array(6);
  private readonly rodWrench = new Float64Array(6);
  /** Motions of base and plate in the base's axes, for the rods. */
  private readonly carrier = new Float64Array(9);
  private readonly moved = new Float64Array(9);
  private readonly s = new Float64Array(9);

  constructor(links: readonly Link[], platform: Platform | null) {
    const flat = (of: (link: Link) => readonly number[]): Flat => Float64Array.from(links.flatMap((link) => of(link)));
    const threes = (): Flat => new Float64Array(3 * links.length);
    this.links = links;
    this.legs = platform && new LegMotion(platform);
    this.crank_kg = platform?.crank_kg ?? 0;
    this.rod_kg = platform?.rod_kg ?? 0;
    const bars = this.crank_kg + this.rod_kg > 0;
    this.rods = this.legs && bars ? new RodForces(this.legs, this.crank_kg, this.rod_kg) : null;
    this.turn = new Float64Array(9 * links.length);
    for (let k = 0; k < 9; k += 4) this.turn[k] = 1;
    [this.origin, this.point, this.along, this.com] = [threes(), threes(), threes(), threes()];
    [this.omega, this.alpha, this.acc, this.force, this.moment] = [threes(), threes(), threes(), threes(), threes()];
    this.at_m = flat(({ at_m }) => at_m);
    this.along_m = flat(({ along }) => along);
    this.inertia = flat(({ body }) => body.inertia_kgm2);
    this.com_m = flat(({ body }) => body.com_m);
    const laden = links.map((link) => this.ladenOf(link));
    this.laden_kg = Float64Array.from(laden, ({ mass_kg }) => mass_kg);
    this.ladenCom_m = Float64Array.from(laden.flatMap(({ com_m }) => com_m));
    this.ladenInertia = Float64Array.from(laden.flatMap(({ inertia_kgm2 }) => inertia_kgm2));
  }

  private ladenOf({ kind, body }: Link): Body {
    const { legs, rod_kg, crank_kg } = this;
    if (legs && kind === 'moving') return together([body, ...pointsAt(legs.arms, rod_kg / 3)]);
    if (legs && kind === 'base') return together([body, ...pointsAt(legs.base, crank_kg / 3)]);
    return body;
  }

  /** See LegMotion; 1 without a platform. */
  get side(): number {
    return this.legs?.side ?? 1;
  }

  /** Places every link. False: the platform is singular there. */
  at(q: ArrayLike<number>, pose: Pose): boolean {
    const regular = this.legs ? this.legs.at(q, pose) : true;
    for (let l = 1; l < this.links.length; l++) {
      this.place(l, q);
      turnInto(this.com, 3 * l, this.turn, 9 * l, this.com_m, 3 * l);
    }
    return regular;
  }

  private place(l: number, q: ArrayLike<number>): void {
    const { kind, parent: p, joint, along } = this.links[l]!;
    const { turn, origin, point, at_m, legs } = this;
    turnInto(point, 3 * l, turn, 9 * p, at_m, 3 * l);
    addScaled(point, 3 * l, origin, 3 * p);
    copyAt(origin, 3 * l, point, 3 * l);
    if (kind === 'axis') {
      turnInto(this.along, 3 * l, turn, 9 * p, this.along_m, 3 * l);
      timesInto(turn, 9 * l, turn, 9 * p, axisMatrix(along, q[joint]!), 0);
      turnInto(this.s, 0, turn, 9 * l, at_m, 3 * l);
      addScaled(origin, 3 * l, this.s, 0, -1);
    } else if (kind === 'base') {
      turn.copyWithin(9 * l, 9 * p, 9 * p + 9);
    } else if (legs) {
      timesInto(turn, 9 * l, turn, 9 * p, legs.turn, 0);
      turnInto(origin, 3 * l, turn, 9 * p, legs.pivot, 0);
      addScaled(origin, 3 * l, origin, 3 * p);
    }
  }

  /**
   * Efforts at the joints with a place in space: legs and axes.
   * @param g_m_s2 gravity, against z.
   * @param out added to.
   */
  addEfforts(v: Flat, a: Flat, g_m_s2: number, out: Flat): void {
    this.acc[2] = g_m_s2;
    for (let l = 1; l < this.links.length; l++) this.move(l, v, a);
    this.force.fill(0);
    this.moment.fill(0);
    for (let l = this.links.length - 1; l > 0; l--) {
      this.addInertial(l);
      this.handOver(l, v, a, out);
    }
  }

  /** Mass times height of everything that weighs, over the world's z = 0, kg·m. */
  height_kgm(): number {
    let sum = 0;
    for (let l = 1; l < this.links.length; l++)
      sum += this.links[l]!.body.mass_kg * (this.origin[3 * l + 2]! + this.com[3 * l + 2]!);
    return this.legs ? sum + this.rodHeights(this.legs) : sum;
  }

  /** A thin bar weighs as if at its middle. */
  private rodHeights(legs: LegMotion): number {
    const l = this.links.findIndex(({ kind }) => kind === 'base');
    let sum = 0;
    for (let j = 0; j < 18; j += 3) {
      copyAt(this.s, 0, legs.base, j);
      addScaled(this.s, 0, legs.crank, j, 0.5);
      turnInto(this.s, 3, this.turn, 9 * l, this.s, 0);
      sum += this.crank_kg * (this.origin[3 * l + 2]! + this.s[5]!);
      addScaled(this.s, 0, legs.crank, j, 0.5);
      addScaled(this.s, 0, legs.rod, j, 0.5);
      turnInto(this.s, 3, this.turn, 9 * l, this.s, 0);
      sum += this.rod_kg * (this.origin[3 * l + 2]! + this.s[5]!);
    }
    return sum;
  }

  /** Velocity and acceleration of a link from its carrier's. */
  private move(l: number, v: Flat, a: Flat): void {
    const { kind, parent, joint } = this.links[l]!;
    const { omega, alpha, acc, origin, point, along, s } = this;
    const [i, p] = [3 * l, 3 * parent];
    copyAt(omega, i, omega, p);
    copyAt(alpha, i, alpha, p);
    copyAt(acc, i, acc, p);
    if (kind === 'moving') return this.movePlate(i, p, v, a);
    copyAt(s, 0, point, i);
    addScaled(s, 0, origin, p, -1);
    addCross(acc, i, alpha, p, s, 0);
    addDoubleCross(acc, i, omega, p, s, 0);
    if (kind !== 'axis') return;
    addCross(alpha, i, omega, p, along, i, v[joint]);
    addScaled(alpha, i, along, i, a[joint]);
    addScaled(omega, i, along, i, v[joint]);
    copyAt(s, 0, origin, i);
    addScaled(s, 0, point, i, -1);
    addCross(acc, i, alpha, i, s, 0);
    addDoubleCross(acc, i, omega, i, s, 0);
  }

  private movePlate(i: number, p: number, v: Flat, a: Flat): void {
    const { omega, alpha, acc, origin, turn, twist, rate, s } = this;
    this.legs?.motion(v, a, twist, rate);
    copyAt(s, 0, origin, i);
    addScaled(s, 0, origin, p, -1);
    addCross(acc, i, alpha, p, s, 0);
    addDoubleCross(acc, i, omega, p, s, 0);
    turnInto(s, 0, turn, 3 * p, twist, 0);
    addCross(acc, i, omega, p, s, 0, 2);
    turnInto(s, 0, turn, 3 * p, rate, 0);
    addScaled(acc, i, s, 0);
    turnInto(s, 0, turn, 3 * p, twist, 3);
    addCross(alpha, i, omega, p, s, 0);
    addScaled(omega, i, s, 0);
    turnInto(s, 0, turn, 3 * p, rate, 3);
    addScaled(alpha, i, s, 0);
  }

  /** Adds what accelerates a link's own body to its wrench: F = m·a, N = I·ω̇ + ω×(I·ω), about the world's origin. */
  private addInertial(l: number): void {
    const mass = this.laden_kg[l]!;
    if (mass === 0) return;
    const { omega, alpha, acc, origin, turn, ladenInertia: inertia, force, moment, s } = this;
    const i = 3 * l;
    turnInto(s, 3, turn, 3 * i, this.ladenCom_m, i);
    copyAt(s, 0, acc, i);
    addCross(s, 0, alpha, i, s, 3);
    addDoubleCross(s, 0, omega, i, s, 3);
    addScaled(s, 3, origin, i);
    addScaled(force, i, s, 0, mass);
    addCross(moment, i, s, 3, s, 0, mass);
    turnBackInto(s, 0, turn, 3 * i, alpha, i);
    turnInto(s, 0, inertia, 3 * i, s, 0);
    turnBackInto(s, 3, turn, 3 * i, omega, i);
    turnInto(s, 6, inertia, 3 * i, s, 3);
    addCross(s, 0, s, 3, s, 6);
    turnInto(s, 0, turn, 3 * i, s, 0);
    addScaled(moment, i, s, 0);
  }

  /** What the joint beneath a link must give, and the link's wrench to its carrier. */
  private handOver(l: number, v: Flat, a: Flat, out: Flat): void {
    const { kind, parent, joint } = this.links[l]!;
    const { force, moment, along, point, s } = this;
    const i = 3 * l;
    if (kind === 'axis') {
      crossInto(s, 0, point, i, force, i);
      out[joint]! += dotAt(along, i, moment, i) - dotAt(along, i, s, 0);
    } else if (kind === 'moving') this.handToLegs(i, parent, v, a, out);
    addScaled(force, 3 * parent, force, i);
    addScaled(moment, 3 * parent, moment, i);
  }

  private handToLegs(i: number, parent: number, v: Flat, a: Flat, out: Flat): void {
    const { legs, rods, wrench, origin, force, moment, turn, s } = this;
    if (!legs) return;
    const p = 3 * parent;
    crossInto(s, 0, origin, i, force, i);
    copyAt(s, 3, moment, i);
    addScaled(s, 3, s, 0, -1);
    turnBackInto(wrench, 0, turn, 3 * p, force, i);
    turnBackInto(wrench, 3, turn, 3 * p, s, 3);
    if (rods) this.addRods(i, p, rods, v, a, out);
    legs.addEfforts(wrench, out);
  }

  /** Rods and cranks: in the wrench on the plate what the legs feel by it; in the link's own all of it, for the carriers. */
  private addRods(i: number, p: number, rods: RodForces, v: Flat, a: Flat, out: Flat): void {
    const { turn, wrench, rodWrench, force, moment, origin } = this;
    this.seenFromBase(this.carrier, p, p);
    this.seenFromBase(this.moved, i, p);
    rodWrench.fill(0);
    rods.add(v, a, this.carrier, this.moved, out, wrench, rodWrench);
    turnInto(rodWrench, 0, turn, 3 * p, rodWrench, 0);
    turnInto(rodWrench, 3, turn, 3 * p, rodWrench, 3);
    addScaled(force, i, rodWrench, 0);
    addScaled(moment, i, rodWrench, 3);
    addCross(moment, i, origin, p, rodWrench, 0);
  }

  /** A link's motion in the axes of the base. */
  private seenFromBase(out: Flat, i: number, p: number): void {
    const { turn, omega, alpha, acc } = this;
    turnBackInto(out, 0, turn, 3 * p, omega, i);
    turnBackInto(out, 3, turn, 3 * p, alpha, i);
    turnBackInto(out, 6, turn, 3 * p, acc, i);
  }
}
