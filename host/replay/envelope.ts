/**
 * The lowest and highest value of a signal in equal buckets of time, for drawing, in fixed memory however long it lasts: when
 * the buckets are full, each two become one twice as wide.
 */
import type { EnvelopeData } from './result.ts';

export class Envelope {
  private readonly lo: Float64Array;
  private readonly hi: Float64Array;
  private bucket_s: number;
  private perSecond: number;
  private used = 0;

  /**
   * @param buckets how many at most, an even number
   * @param bucket_s width to begin with; at least the time between two values, or a short signal is drawn with holes
   */
  constructor(buckets = 600, bucket_s = 0.02) {
    this.lo = new Float64Array(buckets).fill(NaN);
    this.hi = new Float64Array(buckets).fill(NaN);
    this.bucket_s = bucket_s;
    this.perSecond = 1 / bucket_s;
  }

  /**
   * A value, or the lowest and the highest of several. Bucket 0 begins at time 0 and takes what is earlier; a NaN is no value,
   * and leaves a hole where no other value is.
   */
  add(t_s: number, lowest: number, highest = lowest): void {
    let index = t_s > 0 ? Math.floor(t_s * this.perSecond) : 0;
    while (index >= this.lo.length) {
      this.halve();
      index = Math.floor(t_s * this.perSecond);
    }
    if (index >= this.used) this.used = index + 1;
    // Written so that the first value beats the NaN of an empty bucket.
    if (!(lowest >= this.lo[index]!) && !Number.isNaN(lowest)) this.lo[index] = lowest;
    if (!(highest <= this.hi[index]!) && !Number.isNaN(highest)) this.hi[index] = highest;
  }

  /** A copy: `lo[i]` and `hi[i]` are for i·bucket_s to (i + 1)·bucket_s, up to the last time added. */
  data(): EnvelopeData {
    return { bucket_s: this.bucket_s, lo: this.lo.slice(0, this.used), hi: this.hi.slice(0, this.used) };
  }

  private halve(): void {
    const { lo, hi } = this;
    const half = lo.length / 2;
    for (let index = 0; index < half; index += 1) {
      lo[index] = lower(lo[2 * index]!, lo[2 * index + 1]!);
      hi[index] = -lower(-hi[2 * index]!, -hi[2 * index + 1]!);
    }
    lo.fill(NaN, half);
    hi.fill(NaN, half);
    this.used = Math.ceil(this.used / 2);
    this.bucket_s *= 2;
    this.perSecond /= 2;
  }
}

/** The lower of two, where NaN is no value. */
const lower = (a: number, b: number): number => (a <= b || Number.isNaN(b) ? a : b);
