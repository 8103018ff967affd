/**
 * How the prop shakes: natural frequencies of platform and axes on the stiffness of their servos, at one place, with what
 * gravity adds to it. Linear and undamped; rods, plates, gears and stand are rigid, so a real prop shakes slower. SI inside.
 */
import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import type { Pose, Rig } from '../../rig/rig.ts';
import { ForwardSolver, type MutablePose } from '../kinematics/forward.ts';
import { jacobianInto } from '../kinematics/jacobian.ts';
import { Mechanism, type MechanismOptions } from '../dynamics/mechanism.ts';
import { solve6 } from '../kinematics/solve6.ts';
import { stiffnessOf } from '../servo/stiffness.ts';

/** One way to shake. */
export interface Mode {
  /** Null: unstable, the servos' stiffness does not hold it against gravity. */
  readonly hz: number | null;
  readonly unstable: boolean;
  /** What mostly moves: x … yaw of the moving plate seen from its carrier, or a joint; the most energy first, at most two. */
  readonly mostly: readonly string[];
  /** Displacement of each joint of the rig, rad or mm, the largest 1 in its own unit. */
  readonly shape: readonly number[];
  /** What the plate does meanwhile: mm of its pivot, then rad, along and about the carrier's axes; null: no platform. */
  readonly plate: readonly number[] | null;
}

/** Whether one of these joints of the rig, by their indices, is the one that moves most in a mode, in its own unit. */
export const movesMost = ({ shape }: Mode, joints: readonly number[]): boolean =>
  joints.some((i) => Math.abs(shape[i] ?? 0) === 1);

/** A joint that moves by less of the largest in a mode has no part in it, each in its own unit (ours). */
const NO_PART = 0.1;

/** Joints that have a part in a mode and whose stiffness is assumed from their stall torque (stiffness.ts). */
export const assumedIn = ({ shape }: Mode, rig: Rig): Rig['joints'] =>
  rig.joints.filter((joint, i) => Math.abs(shape[i] ?? 0) > NO_PART && stiffnessOf(joint)?.assumed === true);

export interface Modes {
  /** Lowest first, unstable ones before all. */
  readonly modes: readonly Mode[];
  /** Joints whose stiffness is assumed from their stall torque (stiffness.ts). */
  readonly assumed: readonly string[];
  /** Joints that were left out, taken as rigid: no stiffness, or no inertia that is known. */
  readonly rigid: readonly string[];
}

const MM = 1e-3;
const MOTIONS = ['x', 'y', 'z', 'roll', 'pitch', 'yaw'] as const;

/**
 * @param q coordinates of all joints, @param pose the pose that belongs to the legs (HOME without platform).
 * @returns null where the platform is singular.
 */
export function modesAt(rig: Rig, q: ArrayLike<number>, pose: Pose, options: MechanismOptions = {}): Modes | null {
  const mechanism = new Mechanism(rig, options);
  if (!mechanism.at(q, pose)) return null;
  const system = systemAt(rig, mechanism, q, pose);
  if (!system) return null;
  const { active, M, K } = system;
  const assumed = rig.joints.filter((joint, i) => active.includes(i) && stiffnessOf(joint)?.assumed === true);
  const namer = new Namer(rig, q, pose, mechanism);
  return {
    modes: solveModes(M, K).map(({ lambda, x }) => {
      const shape = new Array<number>(rig.joints.length).fill(0);
      active.forEach((joint, k) => (shape[joint] = x[k]! / unitOf(rig, joint)));
      const largest = shape.reduce((most, value) => (Math.abs(value) > Math.abs(most) ? value : most), 0);
      const scaled = shape.map((value) => value / largest);
      const plate = namer.plateOf(scaled);
      const hz = lambda > 0 ? Math.sqrt(lambda) / (2 * Math.PI) : null;
      return { hz, unstable: hz === null, mostly: namer.mostly(scaled, plate), shape: scaled, plate };
    }),
    assumed: assumed.map(({ name }) => name),
    rigid: rig.joints.filter((_, i) => !active.includes(i)).map(({ name }) => name),
  };
}

const unitOf = (rig: Rig, i: number): number => (rig.joints[i]!.unit === 'mm' ? MM : 1);

/** Mass and stiffness matrices of the joints that can shake, SI, symmetric. */
export interface System {
  /** Their places among the rig's joints. */
  readonly active: readonly number[];
  readonly M: Matrix;
  readonly K: Matrix;
}

/** K = servos' stiffness on the diagonal, and how the holding efforts change with the place. Null: a singular place nearby. */
export function systemAt(rig: Rig, mechanism: Mechanism, q: ArrayLike<number>, pose: Pose): System | null {
  if (!mechanism.at(q, pose)) return null;
  const n = rig.joints.length;
  const mass = [...mechanism.mass];
  const entry = (i: number, j: number): number => mass[n * i + j]! / unitOf(rig, j);
  const stiffness = rig.joints.map((joint, i) => (stiffnessOf(joint)?.stiffness ?? NaN) / unitOf(rig, i));
  const active = rig.joints.map((_, i) => i).filter((i) => stiffness[i]! > 0 && entry(i, i) > 0);
  const slopes = active.map((j) => gravitySlope(rig, mechanism, q, pose, j));
  mechanism.at(q, pose);
  if (slopes.some((slope) => slope === null)) return null;
  const of = (value: (i: number, j: number) => number): Matrix =>
    new Matrix(active.map((i) => active.map((j) => (value(i, j) + value(j, i)) / 2)));
  const slope = (i: number, j: number): number => slopes[active.indexOf(j)]![i]! / unitOf(rig, j);
  return { active, M: of(entry), K: of((i, j) => (i === j ? stiffness[i]! : 0) + slope(i, j)) };
}

/** Step of the differences: error h⁴, rounding 1e-16/h. */
const STEP = { rad: 2e-3, mm: 0.1 };

/** ∂(holding effort of every joint)/∂(coordinate j), by differences of h and 2h. */
function gravitySlope(
  rig: Rig,
  mechanism: Mechanism,
  q: ArrayLike<number>,
  pose: Pose,
  j: number,
): Float64Array | null {
  const solver = rig.platform && new ForwardSolver(rig.platform);
  const h = rig.joints[j]!.unit === 'mm' ? STEP.mm : STEP.rad;
  const there = Float64Array.from(q);
  const nearby: MutablePose = [...pose];
  const slope = new Float64Array(rig.joints.length);
  for (const [k, weight] of [
    [1, 8],
    [-1, -8],
    [2, -1],
    [-2, 1],
  ] as const) {
    there[j] = q[j]! + k * h;
    if (j < 6 && solver && !solver.solve(there, pose, nearby)) return null;
    if (!mechanism.at(there, nearby)) return null;
    const { gravity } = mechanism;
    for (let i = 0; i < slope.length; i++) slope[i]! += (weight * gravity[i]!) / (12 * h);
  }
  return slope;
}

/**
 * Added to every diagonal entry of a mass matrix, as a share of it, where some motion has no inertia (points and no rotors):
 * such motions then come out far too fast, and are dropped; the others are off by as little.
 */
const A_LITTLE = 1e-8;

/** Solves K·x = λ·M·x by M = L·Lᵀ and the symmetric L⁻¹·K·L⁻ᵀ, smallest λ first (Golub & Van Loan, Matrix Computations, 8.7). */
export function solveModes(M: Matrix, K: Matrix): { readonly lambda: number; readonly x: readonly number[] }[] {
  if (M.rows === 0) return [];
  const inverse = lowerInverse(M, 0) ?? lowerInverse(M, A_LITTLE);
  if (!inverse) return [];
  const A = inverse.mmul(K).mmul(inverse.transpose());
  const symmetric = Matrix.add(A, A.transpose()).mul(0.5);
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(symmetric, { assumeSymmetric: true });
  const back = inverse.transpose().mmul(eigenvectorMatrix);
  const energy = (x: readonly number[]): number =>
    Matrix.rowVector([...x])
      .mmul(M)
      .mmul(Matrix.columnVector([...x]))
      .get(0, 0);
  return realEigenvalues
    .map((lambda, k) => ({ lambda, x: back.getColumn(k) }))
    .filter(({ x }) => energy(x) > 0.5)
    .sort((a, b) => a.lambda - b.lambda);
}

/** L⁻¹ of M = L·Lᵀ, M with so much more on its diagonal; null: M has no inertia for some motion. */
function lowerInverse(M: Matrix, more: number): Matrix | null {
  const n = M.rows;
  const L = Matrix.zeros(n, n);
  const out = Matrix.zeros(n, n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = M.get(i, j) * (i === j ? 1 + more : 1);
      for (let k = 0; k < j; k++) sum -= L.get(i, k) * L.get(j, k);
      if (i === j && !(sum > (A_LITTLE / 10) * M.get(i, i))) return null;
      L.set(i, j, i === j ? Math.sqrt(sum) : sum / L.get(j, j));
    }
    for (let j = 0; j <= i; j++) {
      let sum = i === j ? 1 : 0;
      for (let k = j; k < i; k++) sum -= L.get(i, k) * out.get(k, j);
      out.set(i, j, sum / L.get(i, i));
    }
  }
  return out;
}

/** A motion with at least this share of the largest one's energy is named too. */
const ALSO = 0.5;

/** Says what a shape mostly moves. */
class Namer {
  private readonly rig: Rig;
  private readonly rates = new Float64Array(36);
  /** What one unit of each motion of the plate alone, and of each joint alone, weighs: kg and kg·m². */
  private readonly plate_kg: readonly number[];
  private readonly joint_kgm2: readonly number[];

  constructor(rig: Rig, q: ArrayLike<number>, pose: Pose, mechanism: Mechanism) {
    this.rig = rig;
    const n = rig.joints.length;
    const { mass } = mechanism;
    this.joint_kgm2 = rig.joints.map((_, i) => mass[n * i + i]! / unitOf(rig, i));
    if (rig.platform) jacobianInto(rig.platform, pose, q, this.rates);
    const M = (i: number, j: number): number => mass[n * i + j]! / unitOf(rig, j);
    const rate = (i: number, c: number): number => this.rates[6 * i + c]! * (c < 3 ? 1 / MM : 1) * unitOf(rig, i);
    this.plate_kg = MOTIONS.map((_, c) => {
      let sum = 0;
      if (rig.platform)
        for (let i = 0; i < 6; i++) for (let j = 0; j < 6; j++) sum += M(i, j) * rate(i, c) * rate(j, c);
      return sum;
    });
  }

  /** The plate's twist for displacements of the legs, mm and rad. */
  plateOf(shape: readonly number[]): number[] | null {
    if (!this.rig.platform) return null;
    const twist = Float64Array.from(shape.slice(0, 6));
    solve6(Float64Array.from(this.rates), twist);
    return [...twist];
  }

  mostly(shape: readonly number[], plate: readonly number[] | null): string[] {
    const energies = [
      ...MOTIONS.map((name, c) => {
        const moved = (plate?.[c] ?? 0) * (c < 3 ? MM : 1);
        return { name: name, energy: this.plate_kg[c]! * moved ** 2 };
      }),
      ...this.rig.joints.flatMap(({ name, kind }, i) =>
        kind === 'leg' ? [] : [{ name, energy: this.joint_kgm2[i]! * shape[i]! ** 2 }],
      ),
    ].sort((a, b) => b.energy - a.energy);
    const most = energies[0]?.energy ?? 0;
    return energies
      .slice(0, 2)
      .filter(({ energy }) => energy >= ALSO * most && energy > 0)
      .map(({ name }) => name);
  }
}
