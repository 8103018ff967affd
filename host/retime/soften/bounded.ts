/** Rows of a program that lie between bounds, with their multipliers (scaled): one kind of rows of ADMM (nearest.ts). */
const RELAXED = 1.7;

export class Bounded {
  /** What the rows are now: to be written before each turn. */
  readonly row: Float64Array;
  /** What they are drawn to after it; may be changed until the next turn. */
  readonly drawn: Float64Array;
  private readonly lo: Float64Array;
  private readonly hi: Float64Array;
  private readonly unit: number;
  private readonly inside: Float64Array;
  private readonly multiplier: Float64Array;
  private isFirst = true;

  /** @param unit what counts as an excess of 1. */
  constructor(lo: Float64Array, hi: Float64Array, unit: number) {
    const zeros = (): Float64Array => new Float64Array(lo.length);
    [this.row, this.drawn, this.inside, this.multiplier] = [zeros(), zeros(), zeros(), zeros()];
    [this.lo, this.hi, this.unit] = [lo, hi, unit];
  }

  /** So many rows with the same bounds. */
  static even(rows: number, lo: number, hi: number): Bounded {
    const all = (bound: number): Float64Array => new Float64Array(rows).fill(bound);
    return new Bounded(all(lo), all(hi), Math.min(-lo, hi));
  }

  /** Moves the rows between their bounds. @returns the largest share by which a row was beyond them. */
  turn(): number {
    const { row, drawn, lo, hi, inside, multiplier } = this;
    const relaxed = this.isFirst ? 1 : RELAXED;
    this.isFirst = false;
    let excess = 0;
    for (let i = 0; i < row.length; i++) {
      const value = row[i]!;
      const [least, most] = [lo[i]!, hi[i]!];
      if (value - most > excess) excess = value - most;
      if (least - value > excess) excess = least - value;
      const wanted = relaxed * value + (1 - relaxed) * inside[i]! + multiplier[i]!;
      const kept = wanted < least ? least : wanted > most ? most : wanted;
      inside[i] = kept;
      multiplier[i] = wanted - kept;
      drawn[i] = 2 * kept - wanted;
    }
    return excess / this.unit;
  }
}
