/**
 * The rig as rigid bodies under gravity: what the joints must give to hold it and to move it, and how it moves under given
 * efforts. Rods and cranks are thin bars, gears are stiff and without loss or play, rotors turn with their joints. f64; it knows
 * nothing of servos' limits (servo-line.ts) nor of the controller.
 */
import type { Joint, Pose, Rig } from '../../rig/rig.ts';
import { rotorAt } from '../../rig/rotor.ts';
import { type Gap, gapsOf } from './gaps.ts';
import { linksOf } from './links.ts';
import { MassMatrix } from './mass-matrix.ts';
import { solveSymmetric } from './solve-symmetric.ts';
import { Tree } from './tree.ts';

export type { Gap } from './gaps.ts';

/** Standard gravity, m/s² (CGPM 1901). */
export const G_M_S2 = 9.80665;

/** Names of parts to leave out; those that are not fitted are left out anyway. */
export interface MechanismOptions {
  readonly without?: readonly string[];
}

/**
 * Coordinates as in rig.joints: rad or mm, legs first; rates per s; efforts N·m (rad) or N (mm) at the joint's coordinate, at the
 * load side of its gear, positive along it; a rotor counts with its gear ratio squared. `at` comes first; all else holds there.
 */
export class Mechanism {
  readonly gaps: readonly Gap[];

  private readonly joints: readonly Joint[];
  private readonly tree: Tree;
  private readonly weighed: MassMatrix;
  /** SI per unit of the coordinate: 1e-3 for mm. */
  private readonly unit: Float64Array;
  /** Rotor and own load, kg·m², or kg of a linear joint. */
  private readonly own: Float64Array;
  /** Own load: m·g·arm in N·m, and where it is level. */
  private readonly pull: Float64Array;
  private readonly level: Float64Array;
  private readonly q: Float64Array;
  private readonly v: Float64Array;
  private readonly a: Float64Array;
  private readonly held: Float64Array;
  private readonly matrix: Float64Array;
  private readonly gravityNow: Float64Array;
  private readonly massNow: Float64Array;
  private readonly pose = new Float64Array(6).fill(NaN);
  private stands = false;
  private gravityFresh = false;
  private massFresh = false;

  constructor(rig: Rig, { without = [] }: MechanismOptions = {}) {
    const parts = rig.parts.filter(({ name, fitted }) => fitted && !without.includes(name));
    const links = linksOf(rig, parts);
    const { joints } = rig;
    const each = (value: (joint: Joint) => number): Float64Array => Float64Array.from(joints, value);
    const zeros = (size = joints.length): Float64Array => new Float64Array(size);
    this.joints = joints;
    this.gaps = gapsOf(rig, parts, links);
    this.tree = new Tree(links, rig.platform);
    const { crank_kg, rod_kg } = rig.platform ?? {};
    this.weighed = new MassMatrix(this.tree, joints.length, { crank_kg: crank_kg ?? 0, rod_kg: rod_kg ?? 0 });
    this.unit = each(({ unit }) => (unit === 'mm' ? 1e-3 : 1));
    this.own = each((joint) => rotorAt(joint) + loadInertia(joint));
    this.pull = each(({ load }) => ((load?.mass_kg ?? 0) * G_M_S2 * (load?.arm_mm ?? 0)) / 1000);
    this.level = each(({ load }) => load?.arm_level_at_rad ?? 0);
    [this.q, this.v, this.a, this.held, this.gravityNow] = [zeros(), zeros(), zeros(), zeros(), zeros()];
    this.matrix = zeros(joints.length ** 2);
    this.massNow = zeros(joints.length ** 2);
  }

  /**
   * Places it.
   * @param pose belongs to the legs' coordinates (HOME when there is no platform).
   * @returns false: the platform is singular there, and nothing that follows is an answer.
   */
  at(q: ArrayLike<number>, pose: Pose): boolean {
    // While it stays where it is, all that holds there is known.
    if (!this.moves(q, pose)) return this.stands;
    this.gravityFresh = this.massFresh = false;
    this.stands = this.tree.at(q, pose);
    return this.stands;
  }

  /** Takes note of the place; whether it is another than before. */
  private moves(q: ArrayLike<number>, pose: Pose): boolean {
    let some = false;
    for (let i = 0; i < this.q.length; i++) if (this.q[i] !== q[i]) some = true;
    for (let k = 0; k < 6; k++) if (this.pose[k] !== pose[k]) some = true;
    if (!some) return false;
    this.q.set(q);
    this.pose.set(pose);
    return true;
  }

  /**
   * 1 or -1: on which side of the platform's singular poses it stands. Where that changes on a way that the legs reach all
   * along, the plate hangs loose in between.
   */
  get side(): number {
    return this.tree.side;
  }

  /** Effort of each joint that holds against gravity, at rest. The array is written over at the next place. */
  get gravity(): Float64Array {
    if (!this.gravityFresh) {
      this.v.fill(0);
      this.a.fill(0);
      this.sum(this.gravityNow);
      this.gravityFresh = true;
    }
    return this.gravityNow;
  }

  /**
   * n×n row-major: effort of joint i per acceleration of joint j (N·m or N per rad/s² or mm/s²); symmetric but for the units of
   * mm beside rad. The array is written over at the next place.
   */
  get mass(): Float64Array {
    if (!this.massFresh) {
      const n = this.joints.length;
      this.fillMatrix(this.massNow);
      for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) this.massNow[n * i + j]! *= this.unit[j]!;
      this.massFresh = true;
    }
    return this.massNow;
  }

  /** Inverse dynamics: efforts for rates v and accelerations a, centrifugal terms and gravity included. */
  efforts(v: ArrayLike<number>, a: ArrayLike<number>, out: Float64Array): void {
    if (isRest(v) && isRest(a)) return out.set(this.gravity);
    for (let i = 0; i < this.joints.length; i++) {
      this.v[i] = v[i]! * this.unit[i]!;
      this.a[i] = a[i]! * this.unit[i]!;
    }
    this.sum(out);
  }

  /**
   * Forward dynamics: accelerations under efforts at the joints, while they move at v.
   * @returns false: some joint has no inertia that is known; its acceleration is NaN, the others are right.
   */
  accelerations(v: ArrayLike<number>, effort: ArrayLike<number>, out: Float64Array): boolean {
    const n = this.joints.length;
    for (let i = 0; i < n; i++) this.v[i] = v[i]! * this.unit[i]!;
    this.a.fill(0);
    this.sum(this.held);
    for (let i = 0; i < n; i++) out[i] = effort[i]! - this.held[i]!;
    this.fillMatrix(this.matrix);
    const all = solveSymmetric(this.matrix, out, n);
    for (let i = 0; i < n; i++) out[i]! /= this.unit[i]!;
    return all;
  }

  /** Energy of height, J: 0 with everything in the world's z = 0 and loads of their own level. */
  potential_j(): number {
    const own = this.pull.reduce((sum, pull, i) => sum + pull * Math.sin(this.q[i]! - this.level[i]!), 0);
    return this.tree.height_kgm() * G_M_S2 + own;
  }

  /** Energy of motion at rates v, J. */
  kinetic_j(v: ArrayLike<number>): number {
    const n = this.joints.length;
    this.fillMatrix(this.matrix);
    let sum = 0;
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++) sum += this.matrix[n * i + j]! * v[i]! * this.unit[i]! * v[j]! * this.unit[j]!;
    return sum / 2;
  }

  /** Efforts at this.v and this.a, SI. */
  private sum(out: Float64Array): void {
    for (let i = 0; i < this.joints.length; i++) {
      const pull = this.pull[i]!;
      const weight = pull === 0 ? 0 : pull * Math.cos(this.q[i]! - this.level[i]!);
      out[i] = this.own[i]! * this.a[i]! + weight;
    }
    this.tree.addEfforts(this.v, this.a, G_M_S2, out);
  }

  /** The mass matrix in SI. */
  private fillMatrix(out: Float64Array): void {
    const n = this.joints.length;
    out.fill(0);
    for (let j = 0; j < n; j++) out[n * j + j] = this.own[j]!;
    this.weighed.addTo(out);
  }
}

function isRest(rates: ArrayLike<number>): boolean {
  for (let i = 0; i < rates.length; i++) if (rates[i] !== 0) return false;
  return true;
}

/** Without an inertia of its own a load is a point at its arm. */
function loadInertia({ load }: Joint): number {
  if (!load) return 0;
  return load.inertia_kgm2 ?? ((load.mass_kg ?? 0) * (load.arm_mm ?? 0) ** 2) / 1e6;
}
