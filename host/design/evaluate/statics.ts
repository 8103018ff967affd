/**
 * What the legs of a placed candidate must give: rods, levers, and the six equations of the plate's balance, Jᵀ·f = w, whose matrix
 * also tells on which side of its singular poses the plate stands. Formulas of kinematics/jacobian.ts; SI.
 */
import { solve6 } from '../../physics/kinematics/solve6.ts';
import type { LegSet } from './legs.ts';

export class Rods {
  /** By leg, 3 each: the rod from its start to its end; the crank's tip from its axis; how the tip goes per rad. */
  readonly rod = new Float64Array(18);
  readonly tip = new Float64Array(18);
  readonly tangent = new Float64Array(18);
  /** Of a leg: r × rod. */
  readonly moment = new Float64Array(18);
  /** rod·∂start/∂α, or an actuator's length: rates are [rod, moment]·twist over it. */
  readonly lever = new Float64Array(6);
  /** After `solve`: efforts, and efforts over levers (force over length, along the rods). */
  readonly effort = new Float64Array(6);
  readonly pull = new Float64Array(6);
  /** Sign of the determinant. */
  side = 0;
  private readonly matrix = new Float64Array(36);

  /** Works out the rods of legs that all reach. */
  put(legs: LegSet): void {
    const { rod, tip, tangent, moment, lever } = this;
    const { l, r, ux, uy, crank, linear, root, other } = legs;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      let x = l[j]!;
      let y = l[j + 1]!;
      let z = l[j + 2]!;
      if (linear) lever[i] = root[i]!;
      else {
        const c = crank * legs.cosine(i);
        const s = crank * legs.sine(i);
        const u = ux[i]!;
        const v = uy[i]!;
        tip[j] = c * u;
        tip[j + 1] = c * v;
        tip[j + 2] = s;
        tangent[j] = -s * u;
        tangent[j + 1] = -s * v;
        tangent[j + 2] = c;
        x -= c * u;
        y -= c * v;
        z -= s;
        lever[i] = other ? -crank * root[i]! : crank * root[i]!;
      }
      rod[j] = x;
      rod[j + 1] = y;
      rod[j + 2] = z;
      const a = r[j]!;
      const b = r[j + 1]!;
      const d = r[j + 2]!;
      moment[j] = b * z - d * y;
      moment[j + 1] = d * x - a * z;
      moment[j + 2] = a * y - b * x;
    }
  }

  /** Efforts for a wrench on the plate, about the pivot. @returns false: singular, or a crank in line with its rod. */
  solve(wrench: Float64Array, at = 0): boolean {
    const { matrix, pull, effort, lever } = this;
    for (let k = 0; k < 6; k++) pull[k] = wrench[at + k]!;
    this.fill();
    const determinant = solve6(matrix, pull);
    this.side = determinant > 0 ? 1 : determinant < 0 ? -1 : 0;
    let sum = 0;
    for (let i = 0; i < 6; i++) sum += effort[i] = pull[i]! * lever[i]!;
    return this.side !== 0 && sum - sum === 0;
  }

  private fill(): void {
    const { matrix, rod, moment } = this;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      matrix[i] = rod[j]!;
      matrix[6 + i] = rod[j + 1]!;
      matrix[12 + i] = rod[j + 2]!;
      matrix[18 + i] = moment[j]!;
      matrix[24 + i] = moment[j + 1]!;
      matrix[30 + i] = moment[j + 2]!;
    }
  }

  /** The side alone. */
  sideOf(legs: LegSet): number {
    this.put(legs);
    this.fill();
    this.pull.fill(0);
    const determinant = solve6(this.matrix, this.pull);
    return determinant > 0 ? 1 : determinant < 0 ? -1 : 0;
  }
}
