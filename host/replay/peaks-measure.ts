/**
 * Whether what comes out speeds up and slows down more often than what was asked: the speed peaks of each column of a stream, as
 * asked and as delivered, looked at in the same instants. Memory does not grow with time.
 */
import { PEAK_PROMINENCE } from '../stream/speed-peaks.ts';
import { TurningPoints } from '../stream/turning-points.ts';
import type { PeaksAnswer } from './result.ts';

/** Slower changes of speed are not seen, in mm/s or deg/s (ours): this much prominence a peak has at least. */
const SEEN = 1;
/**
 * A peak that the stream has a little less of is no new one: the stream's are counted with this share of the prominence before
 * any is said to be added (ours).
 */
const NEARLY = 0.9;

/** One column. */
export class PeaksMeasure {
  private readonly column: string;
  private readonly seen: number;
  private readonly askedPeaks = new TurningPoints();
  private readonly deliveredPeaks = new TurningPoints();
  private fastest = 0;
  private asked = NaN;
  private delivered = NaN;
  private at_s = NaN;

  /** @param column its name in the stream's header; @param unit how much 1 mm or 1 deg is in the positions given */
  constructor(column: string, unit: number) {
    this.column = column;
    this.seen = SEEN * unit;
  }

  /** The next look, later than the one before. NaN: nothing was asked, or what was delivered is not known, and it is left out. */
  look(at_s: number, asked: number, delivered: number): void {
    if (Number.isNaN(asked + delivered)) return;
    const for_s = at_s - this.at_s;
    if (for_s > 0) {
      const askedSpeed = Math.abs(asked - this.asked) / for_s;
      if (askedSpeed > this.fastest) this.fastest = askedSpeed;
      const least = NEARLY * this.prominence;
      this.askedPeaks.add(askedSpeed, least);
      this.deliveredPeaks.add(Math.abs(delivered - this.delivered) / for_s, least);
    }
    this.asked = asked;
    this.delivered = delivered;
    this.at_s = at_s;
  }

  answer(): PeaksAnswer {
    const delivered = this.deliveredPeaks.count(this.prominence);
    return {
      column: this.column,
      asked: this.askedPeaks.count(this.prominence),
      delivered,
      added: Math.max(0, delivered - this.askedPeaks.count(NEARLY * this.prominence)),
    };
  }

  private get prominence(): number {
    return Math.max(this.seen, PEAK_PROMINENCE * this.fastest);
  }
}
