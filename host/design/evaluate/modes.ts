/**
 * The lowest natural frequency of a placed candidate on its servos' stiffness, gravity's stiffness included: K·x = λ·M·x in the plate's
 * twist and the axes, which has the λ of the same in the joints' coordinates (a change of coordinates, physics/vibration/modes.ts).
 * How many λ lie under a number is how many pivots of K - λ·M are negative (Sylvester's law of inertia; Golub & Van Loan, Matrix
 * Computations, 8.5), so that a place which does not lower the lowest costs one elimination.
 *
 * Gravity's stiffness: of the energy V of height less the work of the efforts f that hold, V - Σ f·q, the second derivatives. V's are
 * prepared (gravity.ts). Those of a leg's coordinate, from |d + ẋ - ∂start·q|² = const to second order, with E = [1, -r×]:
 * q″ = [(E - t·Aᵢ)ᵀ(E - t·Aᵢ) + sym(d·rᵀ) - (d·r) + (d·tip)·AᵢᵀAᵢ] / lever, t the tip's tangent, Aᵢ the leg's row of rates.
 */
import type { LegSet } from './legs.ts';
import type { Rods } from './statics.ts';

const TWO_PI = 2 * Math.PI;
/** Halvings of what the lowest λ lies in: 1e-9 of it. */
const HALVINGS = 30;

/** Frequency of a λ, Hz; below 0: unstable. */
export const hzOf = (lambda: number): number => (lambda < 0 ? -Math.sqrt(-lambda) : Math.sqrt(lambda)) / TWO_PI;

export class Modes {
  readonly size: number;
  readonly M: Float64Array;
  readonly K: Float64Array;
  private readonly work: Float64Array;
  /** After `addLegs`: rates of the legs per twist. */
  readonly rates = new Float64Array(36);
  private readonly row = new Float64Array(6);

  constructor(size: number) {
    this.size = size;
    this.M = new Float64Array(size * size);
    this.K = new Float64Array(size * size);
    this.work = new Float64Array(size * size);
  }

  /**
   * Adds the legs to K and M, whose lower triangles hold all else: rotors, servos, and how the legs' coordinates bend under `rods.pull`.
   * Only the lower triangle counts.
   */
  addLegs(legs: LegSet, rods: Rods, rotor: number, stiffness: number): void {
    const { M, K, rates, size } = this;
    const { rod, moment, lever, pull } = rods;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      const per = 1 / lever[i]!;
      for (let k = 0; k < 3; k++) {
        rates[6 * i + k] = rod[j + k]! * per;
        rates[6 * i + 3 + k] = moment[j + k]! * per;
      }
      const tipped = legs.linear ? -1 : dot(rod, rods.tip, j);
      const tangent2 = legs.linear ? 0 : legs.crank * legs.crank;
      const g = pull[i]!;
      const square = stiffness - g * (tipped + tangent2);
      for (let k = 0, o = 6 * i; k < 6; k++) {
        const a = rates[o + k]!;
        for (let n = 0; n <= k; n++) {
          const both = a * rates[o + n]!;
          K[k * size + n]! += square * both;
          M[k * size + n]! += rotor * both;
        }
      }
      this.addBend(legs, rods, i, g);
    }
  }

  /** Of leg i what is not along AᵢᵀAᵢ: - g·(EᵀE - (Eᵀt)Aᵢ - Aᵢᵀ(tᵀE) + sym(d·rᵀ) - d·r). */
  private addBend(legs: LegSet, rods: Rods, i: number, g: number): void {
    const { K, size, rates, row } = this;
    const j = 3 * i;
    const { r } = legs;
    const d = rods.rod;
    const x = r[j]!;
    const y = r[j + 1]!;
    const z = r[j + 2]!;
    // EᵀE: [1, -r×; r×, r²·1 - r·rᵀ], lower triangle.
    K[0]! -= g;
    K[size + 1]! -= g;
    K[2 * size + 2]! -= g;
    K[3 * size + 1]! += g * z;
    K[3 * size + 2]! -= g * y;
    K[4 * size]! -= g * z;
    K[4 * size + 2]! += g * x;
    K[5 * size]! += g * y;
    K[5 * size + 1]! -= g * x;
    const more = x * x + y * y + z * z - (d[j]! * x + d[j + 1]! * y + d[j + 2]! * z);
    for (let k = 0; k < 3; k++) {
      K[(3 + k) * size + 3 + k]! -= g * more;
      for (let n = 0; n <= k; n++)
        K[(3 + k) * size + 3 + n]! -= g * ((d[j + k]! * r[j + n]! + d[j + n]! * r[j + k]!) / 2 - r[j + k]! * r[j + n]!);
    }
    if (legs.linear) return;
    const t = rods.tangent;
    row[0] = t[j]!;
    row[1] = t[j + 1]!;
    row[2] = t[j + 2]!;
    row[3] = y * t[j + 2]! - z * t[j + 1]!;
    row[4] = z * t[j]! - x * t[j + 2]!;
    row[5] = x * t[j + 1]! - y * t[j]!;
    for (let k = 0; k < 6; k++)
      for (let n = 0; n <= k; n++) K[k * size + n]! += g * (row[k]! * rates[6 * i + n]! + rates[6 * i + k]! * row[n]!);
  }

  /** More than the lowest λ: what one coordinate alone would have. */
  bound(): number {
    const { size, M, K } = this;
    let least = Infinity;
    for (let k = 0; k < size; k++) {
      const at = k * size + k;
      const one = M[at]! > 0 ? K[at]! / M[at]! : Infinity;
      if (one < least) least = one;
    }
    return least < 0 ? 0 : least * (1 + 1e-9);
  }

  /** The lowest λ if it is under `most`, else `most`. */
  lowest(most: number): number {
    if (!this.hasUnder(most)) return most;
    let hi = most;
    let lo = 0;
    if (this.hasUnder(0)) {
      hi = 0;
      lo = -1;
      while (this.hasUnder(lo)) {
        hi = lo;
        lo *= 4;
      }
    }
    for (let n = 0; n < HALVINGS; n++) {
      const middle = (lo + hi) / 2;
      if (this.hasUnder(middle)) hi = middle;
      else lo = middle;
    }
    return hi;
  }

  /** Whether any λ is less than this: then L·D·Lᵀ = K - λ·M has a negative pivot. */
  private hasUnder(lambda: number): boolean {
    const { size, work, M, K } = this;
    for (let k = 0; k < size; k++) {
      const row = k * size;
      for (let n = 0; n <= k; n++) {
        work[row + n] = K[row + n]! - lambda * M[row + n]!;
      }
    }
    for (let k = 0; k < size; k++) {
      const pivot = work[k * size + k]! || 1e-300;
      if (!(pivot >= 0)) return true;
      for (let r = k + 1; r < size; r++) {
        const f = work[r * size + k]! / pivot;
        for (let n = k + 1; n <= r; n++) work[r * size + n]! -= f * work[n * size + k]!;
      }
    }
    return false;
  }
}

const dot = (a: Float64Array, b: Float64Array, j: number): number =>
  a[j]! * b[j]! + a[j + 1]! * b[j + 1]! + a[j + 2]! * b[j + 2]!;
