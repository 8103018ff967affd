/**
 * Long times without a frame, in a stream whose frames are else much nearer: a piece that was lost, two recordings in one file, or
 * a clock that jumped. Nothing is wrong with such a stream, and it plays: for all that time it creeps from one frame to the next,
 * or stands, where they are equal.
 */

/** Times of the frames before and after, the line of the second, and whether it asks for another place. */
export interface Pause {
  readonly from_s: number;
  readonly to_s: number;
  readonly line: number;
  readonly moves: boolean;
}

/** Shorter than this a pause is part of a show (ours). */
const LONG_S = 3;
/** So many times the usual time between frames: key frames set by hand, some seconds apart, are no pauses (ours). */
const TIMES_USUAL = 20;
/** As many are kept; a stream with more has none that stand out. */
const KEPT = 100;

/** Is told of every frame, and says at the end which times stand out. */
export class PauseWatch {
  private readonly long: Pause[] = [];
  private steps = 0;
  private usual_s = 0;

  /** The time between two frames that follow each other; NaN passes. */
  add(from_s: number, to_s: number, line: number, moves: () => boolean): void {
    const for_s = to_s - from_s;
    if (!(for_s > 0)) return;
    if (for_s > LONG_S && this.long.length < KEPT) {
      this.long.push({ from_s, to_s, line, moves: moves() });
      return;
    }
    this.steps += 1;
    this.usual_s += for_s;
  }

  /** Those that stand out from what is usual; none when there is nothing else. */
  found(): Pause[] {
    if (this.steps === 0) return [];
    const least_s = (TIMES_USUAL * this.usual_s) / this.steps;
    return this.long.filter(({ from_s, to_s }) => to_s - from_s > least_s);
  }
}
