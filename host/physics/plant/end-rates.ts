/**
 * One step's change of rates, implicit where efforts depend on rates: with M the mass matrix, f(v) the efforts and Δ = θ·(v₁ - v₀),
 *
 *     M·Δ = θ·h·(f(v₀ + Δ) - bias)
 *
 * θ = ½ would be the trapezoidal rule; ⅔ lets what is faster than the step die away, rather than ring (Hairer & Wanner, Solving
 * Ordinary Differential Equations II, IV.3, from memory). Efforts are straight pieces in the rate (straight-pieces.ts): where none
 * changes in the step, one solution of linear equations is all it takes. Springs are explicit; K·(h/2)² beside each inertia makes
 * them stable at any step, as it makes the central difference Newmark's average acceleration (Newmark 1959, from memory).
 */
import type { DrivenJoint } from './joint.ts';
import { THETA } from './joint.ts';
import { factorSymmetric, solveFactored } from '../dynamics/solve-symmetric.ts';

/** Solutions a step at most; pieces that still change then are a step late. */
const MOST_LOOKS = 12;

export class EndRates {
  private readonly joints: readonly DrivenJoint[];
  /** Unknowns: the joints' loads, then the rotors of those whose gear has play. */
  private readonly size: number;
  /** By joint, its rotor's place among the unknowns; -1: it goes with its load. */
  private readonly rotors: readonly number[];
  /** SI per unit of the coordinate, of the joints: 1e-3 for mm. */
  private readonly unit: Float64Array;
  private readonly mass: Float64Array;
  private readonly factors: Float64Array;
  /** Slopes that `factors` was made with: of loads and rotors, and of teeth between them. */
  private readonly slopes: Float64Array;
  private readonly between: Float64Array;
  private isFresh = false;
  /** Δ in SI; of the last step until the next is solved. */
  private readonly delta: Float64Array;

  constructor(joints: readonly DrivenJoint[], unit: Float64Array) {
    let size = joints.length;
    this.rotors = joints.map(({ isLoose }) => (isLoose ? size++ : -1));
    this.joints = joints;
    this.unit = unit;
    this.size = size;
    this.mass = new Float64Array(size * size);
    this.factors = new Float64Array(size * size);
    [this.slopes, this.between, this.delta] = [new Float64Array(size), new Float64Array(size), new Float64Array(size)];
  }

  /** From rest. */
  reset(): void {
    this.delta.fill(0);
    this.isFresh = false;
  }

  /** @param mass n×n, effort of joint i per acceleration of joint j, rotors included, as Mechanism has it. */
  weigh(mass: Float64Array, step_s: number): void {
    const { joints, size, unit, rotors } = this;
    const n = joints.length;
    for (let i = 0; i < n; i++) {
      const joint = joints[i]!;
      // One that follows exactly is held: the others feel what it weighs, and it feels nothing of them.
      for (let j = 0; j < i; j++)
        this.mass[size * i + j] = joint.ideal || joints[j]!.ideal ? 0 : mass[n * i + j]! / unit[j]!;
      const own = mass[n * i + i]! / unit[i]!;
      const least = joint.leastInertia(step_s) / unit[i]!;
      const rotor = rotors[i]!;
      this.mass[size * i + i] = joint.ideal ? 1 : own - joint.apart + least;
      if (rotor >= 0) this.mass[size * rotor + rotor] = joint.ideal ? 1 : joint.rotorInertia + least;
    }
    this.isFresh = false;
  }

  /** New rates and places of all joints after a step under these efforts at rest. */
  step(bias: Float64Array, step_s: number): void {
    const { joints, delta, unit, rotors } = this;
    for (const joint of joints) joint.begin(step_s);
    this.look();
    for (let k = 0; k < MOST_LOOKS; k++) {
      this.solve(bias, step_s);
      if (!this.look()) break;
    }
    for (let i = 0; i < joints.length; i++) {
      const rotor = rotors[i]!;
      joints[i]!.end(delta[i]! / unit[i]! / THETA, rotor < 0 ? 0 : delta[rotor]! / unit[i]! / THETA, step_s);
    }
  }

  /** Whether some piece is another than at the last look. */
  private look(): boolean {
    const { joints, delta, unit, rotors } = this;
    let isOther = false;
    for (let i = 0; i < joints.length; i++) {
      const load = delta[i]! / unit[i]!;
      const rotor = rotors[i]!;
      if (joints[i]!.look(load, rotor < 0 ? load : delta[rotor]! / unit[i]!)) isOther = true;
    }
    return isOther;
  }

  private solve(bias: Float64Array, step_s: number): void {
    const { joints, delta, unit, rotors, slopes, between } = this;
    for (let i = 0; i < joints.length; i++) {
      const { ideal, driveEffort, driveSlope, teethEffort, teethSlope } = joints[i]!;
      const rotor = rotors[i]!;
      const driven = rotor < 0 ? i : rotor;
      const load = delta[i]! / unit[i]!;
      // The tangents' value at Δ = 0.
      const drive = driveEffort + driveSlope * (delta[driven]! / unit[i]!);
      const teeth = rotor < 0 ? 0 : teethEffort + teethSlope * (delta[rotor]! / unit[i]! - load);
      this.set(slopes, driven, driveSlope / unit[i]!);
      this.set(between, i, teethSlope / unit[i]!);
      delta[i] = ideal ? 0 : -bias[i]! - teeth;
      if (rotor >= 0) delta[rotor] = teeth;
      if (!ideal) delta[driven]! += drive;
    }
    const by = THETA * step_s;
    for (let i = 0; i < this.size; i++) delta[i]! *= by;
    if (!this.isFresh) this.factor(by);
    solveFactored(this.factors, delta, this.size);
  }

  private set(of: Float64Array, i: number, slope: number): void {
    if (of[i] === slope) return;
    of[i] = slope;
    this.isFresh = false;
  }

  private factor(by: number): void {
    const { joints, size, mass, factors, slopes, between, rotors } = this;
    factors.set(mass);
    for (let i = 0; i < size; i++) factors[size * i + i]! += by * slopes[i]!;
    for (let i = 0; i < joints.length; i++) {
      const rotor = rotors[i]!;
      if (rotor < 0) continue;
      const teeth = by * between[i]!;
      factors[size * i + i]! += teeth;
      factors[size * rotor + rotor]! += teeth;
      factors[size * rotor + i]! -= teeth;
    }
    factorSymmetric(factors, size);
    this.isFresh = true;
  }
}
