/**
 * The speed peaks of a motion that passes by once, when the prominence is known at the end only: keeps the turning points of its
 * speed, and leaves out swings that are below the prominence already, whatever comes.
 */
import { PeakCounter, Turns, countPeaks } from './speed-peaks.ts';

const FIRST_ROOM = 64;
/** So many are kept at most: 4,096 peaks, half an hour of two in a second. Of earlier ones only their count is kept then. */
const MOST = 8192;

export class TurningPoints {
  private points = new Float64Array(FIRST_ROOM);
  private used = 0;
  /** Peaks of points that are no longer kept. */
  private settled = 0;
  private turns = new Turns();

  /** The next speed, 0 or more. @param least peaks are never counted with a prominence below it; it never decreases */
  add(speed: number, least: number): void {
    const point = this.turns.add(speed, least);
    if (Number.isNaN(point)) return;
    this.points[this.used++] = point;
    if (this.used === this.points.length) this.makeRoom(least);
  }

  /** Peaks with that prominence, which is no less than any `least` so far. */
  count(prominence: number): number {
    const counter = new PeakCounter(prominence);
    for (let k = 0; k < this.used; k++) counter.add(this.points[k]!);
    counter.add(this.turns.rising ? this.turns.high : this.turns.low);
    return this.settled + counter.count;
  }

  /** Leaves out what has become too small; if that is little, takes more room, or counts the older half for good. */
  private makeRoom(least: number): void {
    const { points } = this;
    // The last point is a high, as rooms are even, and the speed has fallen since.
    const fallen = this.turns.low;
    this.turns = new Turns();
    let kept = 0;
    for (let k = 0; k <= this.used; k++) {
      const point = this.turns.add(k < this.used ? points[k]! : fallen, least);
      if (!Number.isNaN(point)) points[kept++] = point;
    }
    this.used = kept;
    if (kept <= points.length / 2) return;
    if (points.length < MOST) {
      this.points = new Float64Array(2 * points.length);
      this.points.set(points);
      return;
    }
    const half = 2 * Math.floor(kept / 4);
    this.settled += countPeaks(points.subarray(0, half), least);
    points.copyWithin(0, half, kept);
    this.used -= half;
  }
}
