/**
 * How a positive quantity is spread (latencies, tick durations), in fixed memory however many values: counts in fine bins,
 * 512 to each doubling, so that a percentile is at most 0.1 % off. Lowest and highest value are exact.
 */
import { tickStep } from 'd3-array';
import type { Histogram, Spread } from './result.ts';

/** Bits of mantissa kept: a bin is at most 1/512 as wide as its values, and its middle within 1/1024 of them. */
const MANTISSA_BITS = 9;
/** Bins reach from 2^-12 to 2^24 (ms: a quarter microsecond to 4.6 hours); what lies outside counts in the outermost. */
const LOWEST_EXPONENT = -12;
const DOUBLINGS = 36;
const BINS = DOUBLINGS << MANTISSA_BITS;
const DROPPED_BITS = 23 - MANTISSA_BITS;
const F32_BIAS = 127;
const FIRST_BIN = (LOWEST_EXPONENT + F32_BIAS) << MANTISSA_BITS;

export class Distribution {
  private readonly counts = new Float64Array(BINS);
  /** The bits of an f32 are its logarithm, near enough: exponent, then mantissa. */
  private readonly asFloat = new Float32Array(1);
  private readonly asBits = new Uint32Array(this.asFloat.buffer);
  private total = 0;
  private lowest = Infinity;
  private highest = -Infinity;

  /** Values added so far. */
  get count(): number {
    return this.total;
  }

  /** NaN and infinities are not counted; 0 and below count in the lowest bin. */
  add(value: number): void {
    if (!Number.isFinite(value)) return;
    this.asFloat[0] = value > 0 ? value : 0;
    const bin = (this.asBits[0]! >>> DROPPED_BITS) - FIRST_BIN;
    const index = bin < 0 ? 0 : bin < BINS ? bin : BINS - 1;
    this.counts[index] = this.counts[index]! + 1;
    this.total += 1;
    if (value < this.lowest) this.lowest = value;
    if (value > this.highest) this.highest = value;
  }

  /** The value that a share of all values does not exceed (nearest rank), within 0.1 %; 0 when there are none. */
  quantile(share: number): number {
    if (this.total === 0) return 0;
    const rank = Math.max(1, Math.ceil(share * this.total));
    if (rank === this.total) return this.highest;
    let index = 0;
    for (let seen = this.counts[0]!; seen < rank; seen += this.counts[index]!) index += 1;
    return this.within(middle(index));
  }

  spread(): Spread {
    return { p50: this.quantile(0.5), p99: this.quantile(0.99), max: this.total === 0 ? 0 : this.highest };
  }

  /**
   * For drawing: about `bars` equal bars at round edges from the lowest to the highest value. Values change bars by at most
   * 0.1 % of themselves. One bar when all are the same; none when there are none.
   */
  histogram(unit: string, bars = 30): Histogram {
    if (this.total === 0) return { unit, edges: [0], counts: [] };
    // Bars not much wider than the fine bins would come out as a comb.
    const finest = this.highest / (1 << (MANTISSA_BITS - 2));
    const spread = this.highest - this.lowest;
    const step = spread > 0 ? tickStep(0, Math.max(spread, finest * bars), bars) : Math.max(finest, 1e-3);
    const first = Math.floor(this.lowest / step);
    const counts = new Array<number>(Math.floor(this.highest / step) - first + 1).fill(0);
    this.counts.forEach((count, index) => {
      if (count === 0) return;
      const bar = Math.floor(this.within(middle(index)) / step) - first;
      counts[bar] = counts[bar]! + count;
    });
    const edges = Array.from({ length: counts.length + 1 }, (_, index) =>
      Number(((first + index) * step).toPrecision(12)),
    );
    return { unit, edges, counts };
  }

  private within(value: number): number {
    return Math.min(Math.max(value, this.lowest), this.highest);
  }
}

/** Middle of a bin. */
function middle(index: number): number {
  const fraction = ((index & ((1 << MANTISSA_BITS) - 1)) + 0.5) / (1 << MANTISSA_BITS);
  return (1 + fraction) * 2 ** (LOWEST_EXPONENT + (index >>> MANTISSA_BITS));
}
