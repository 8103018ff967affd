/** Rows of a quadratic program that lie between bounds, with their slacks and multipliers: one kind of rows of nearest.ts. */

/** Bounds one by one; infinite: none. */
export interface Between {
  readonly lo: Float64Array;
  readonly hi: Float64Array;
}

/** One side's bounds: sign · (bound - row) is what is left of them. */
interface Side {
  readonly sign: 1 | -1;
  readonly bound: Float64Array;
  readonly slack: Float64Array;
  readonly multiplier: Float64Array;
}

/** No step comes nearer than this to where a slack or a multiplier is gone (common practice). */
const SHORT_OF = 0.99;

export class Bounded {
  /** What the rows are now: to be written before anything is asked. */
  readonly row: Float64Array;
  /** How the rows change in a step: to be written before `longest`. */
  readonly change: Float64Array;
  /** By row: what it adds to the matrix, and to the right-hand side with its sign turned. */
  readonly weight: Float64Array;
  readonly push: Float64Array;
  private readonly sides: readonly [Side, Side];

  constructor({ lo, hi }: Between) {
    const zeros = (): Float64Array => new Float64Array(lo.length);
    [this.row, this.change, this.weight, this.push] = [zeros(), zeros(), zeros(), zeros()];
    const side = (sign: 1 | -1, bound: Float64Array): Side => ({ sign, bound, slack: zeros(), multiplier: zeros() });
    this.sides = [side(1, hi), side(-1, lo)];
  }

  /** @param least the least slack to begin with; @param multiplier what all begin with. */
  begin(least: number, multiplier: number): void {
    for (const { sign, bound, slack, multiplier: z } of this.sides)
      for (let i = 0; i < bound.length; i++) {
        if (!Number.isFinite(bound[i]!)) continue;
        slack[i] = Math.max(least, sign * (bound[i]! - this.row[i]!));
        z[i] = multiplier;
      }
  }

  /** Bounds there are, the sum of slack times multiplier, and the largest excess of a row. */
  state(): { readonly count: number; readonly gap: number; readonly excess: number } {
    let [count, gap, excess] = [0, 0, 0];
    for (const { sign, bound, slack, multiplier } of this.sides)
      for (let i = 0; i < bound.length; i++) {
        if (!Number.isFinite(bound[i]!)) continue;
        count += 1;
        gap += slack[i]! * multiplier[i]!;
        excess = Math.max(excess, sign * (this.row[i]! - bound[i]!));
      }
    return { count, gap, excess };
  }

  /** Works out weight and push for a step toward slacks and multipliers whose products are `centre`. */
  weigh(centre: number): void {
    const { row, weight, push } = this;
    weight.fill(0);
    push.fill(0);
    for (const { sign, bound, slack, multiplier } of this.sides)
      for (let i = 0; i < bound.length; i++) {
        if (!Number.isFinite(bound[i]!)) continue;
        const missing = sign * (row[i]! - bound[i]!) + slack[i]!;
        weight[i]! += multiplier[i]! / slack[i]!;
        push[i]! += (sign * (centre + multiplier[i]! * missing)) / slack[i]!;
      }
  }

  /** How much of a step can be gone with every slack and multiplier above 0: at most 1. */
  longest(centre: number): number {
    let most = 1;
    this.eachStep(centre, (side, i, slack, multiplier) => {
      if (slack < 0) most = Math.min(most, (-SHORT_OF * side.slack[i]!) / slack);
      if (multiplier < 0) most = Math.min(most, (-SHORT_OF * side.multiplier[i]!) / multiplier);
    });
    return most;
  }

  /** Goes a share of the step. */
  go(share: number, centre: number): void {
    this.eachStep(centre, (side, i, slack, multiplier) => {
      side.slack[i]! += share * slack;
      side.multiplier[i]! += share * multiplier;
    });
  }

  private eachStep(centre: number, take: (side: Side, i: number, slack: number, multiplier: number) => void): void {
    const { row, change } = this;
    for (const side of this.sides) {
      const { sign, bound, slack, multiplier } = side;
      for (let i = 0; i < bound.length; i++) {
        if (!Number.isFinite(bound[i]!)) continue;
        const step = sign * (bound[i]! - row[i]! - change[i]!) - slack[i]!;
        take(side, i, step, (centre - multiplier[i]! * step) / slack[i]! - multiplier[i]!);
      }
    }
  }
}
