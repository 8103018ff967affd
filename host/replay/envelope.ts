/**
 * The lowest and highest values of signals in equal buckets of time, for drawing, in fixed memory however long they last: when
 * the buckets are full, each two become one twice as wide.
 */
import type { EnvelopeData } from './result.ts';

const asItIs = (value: number): number => value;

/**
 * Signals that share their instants. A bucket's values stand side by side, for all signals: with an array for each of fifty
 * signals a processor waits for its memory half of the time.
 */
export class Envelopes {
  /** For each bucket the lowest and the highest value of signal 0, of signal 1, … */
  private readonly values: Float64Array;
  private readonly width: number;
  private readonly buckets: number;
  private bucket_s: number;
  private perSecond: number;
  private used = 0;
  /** Where the bucket in hand begins in `values`. */
  private row = 0;

  /**
   * @param signals how many
   * @param buckets how many at most, an even number
   * @param bucket_s width to begin with; at least the time between two values, or a short signal is drawn with holes
   */
  constructor(signals: number, buckets = 600, bucket_s = 0.02) {
    this.width = 2 * signals;
    this.buckets = buckets;
    this.values = new Float64Array(buckets * this.width).fill(NaN);
    this.bucket_s = bucket_s;
    this.perSecond = 1 / bucket_s;
  }

  /** The instant of the values to come. Bucket 0 begins at time 0 and takes what is earlier. */
  at(t_s: number): void {
    let index = t_s > 0 ? Math.floor(t_s * this.perSecond) : 0;
    while (index >= this.buckets) {
      this.halve();
      index = Math.floor(t_s * this.perSecond);
    }
    if (index >= this.used) this.used = index + 1;
    this.row = index * this.width;
  }

  /** A signal's value, or the lowest and the highest of several. A NaN is no value, and leaves a hole where no other value is. */
  add(signal: number, lowest: number, highest: number): void {
    const { values } = this;
    const at = this.row + 2 * signal;
    // Written so that the first value beats the NaN of an empty bucket.
    if (!(lowest >= values[at]!) && !Number.isNaN(lowest)) values[at] = lowest;
    if (!(highest <= values[at + 1]!) && !Number.isNaN(highest)) values[at + 1] = highest;
  }

  /**
   * A copy of a signal: `lo[i]` and `hi[i]` are for i·bucket_s to (i + 1)·bucket_s, up to the last time given.
   * @param shown what is made of its values; must not decrease where they increase
   */
  data(signal: number, shown = asItIs): EnvelopeData {
    const column = (at: number): Float64Array =>
      Float64Array.from({ length: this.used }, (_, index) => shown(this.values[index * this.width + at]!));
    return { bucket_s: this.bucket_s, lo: column(2 * signal), hi: column(2 * signal + 1) };
  }

  private halve(): void {
    const { values, width } = this;
    const half = this.buckets / 2;
    for (let index = 0; index < half; index++)
      for (let k = 0; k < width; k += 2) {
        const from = 2 * index * width + k;
        const to = index * width + k;
        values[to] = lower(values[from]!, values[from + width]!);
        values[to + 1] = -lower(-values[from + 1]!, -values[from + width + 1]!);
      }
    values.fill(NaN, half * width);
    this.used = Math.ceil(this.used / 2);
    this.bucket_s *= 2;
    this.perSecond /= 2;
  }
}

/** One signal. */
export class Envelope {
  private readonly all: Envelopes;

  constructor(buckets?: number, bucket_s?: number) {
    this.all = new Envelopes(1, buckets, bucket_s);
  }

  add(t_s: number, lowest: number, highest = lowest): void {
    this.all.at(t_s);
    this.all.add(0, lowest, highest);
  }

  data(): EnvelopeData {
    return this.all.data(0);
  }
}

/** The lower of two, where NaN is no value. */
const lower = (a: number, b: number): number => (a <= b || Number.isNaN(b) ? a : b);
