/**
 * Which columns of a recording shake from frame to frame. A motion's second differences follow each other; those of noise change
 * sign. Their correlation from one frame to the next is near +1 for a smooth motion and -2/3 for white noise, whatever its size:
 * with e independent, d = e(k+1) - 2e(k) + e(k-1) has E[d(k)²] = 6σ² and E[d(k)·d(k+1)] = -4σ².
 * A hand-set key frame is a single corner and brings it toward 0, which is not shaking.
 */

/** Below this correlation a column shakes (ours: a recorded human head has -0.3 to -0.6, drawn motion 0 to 1). */
const SHAKES_BELOW = -0.2;
/** Changes of speed below this share of the speed itself are rounding in a file (ours; root mean squares). */
const ROUNDING = 0.05;
/** As many changing frames before anything is said (ours). */
const LEAST_FRAMES = 40;
/** Frames count as evenly spaced within this share of their interval. */
const EVENLY = 0.05;

/** Sums over one column. */
interface Sums {
  before: number;
  now: number;
  /** Last second difference; NaN: none. */
  change: number;
  squares: number;
  products: number;
  /** Squares of the first differences. */
  speeds: number;
  changing: number;
}

/** Is told of every row of a stream, and says at the end which columns shake. */
export class ShakeWatch {
  private readonly sums: Sums[];
  private before_s = NaN;
  private interval_s = NaN;

  /** @param columns how many figures a row has */
  constructor(columns: number) {
    this.sums = Array.from({ length: columns }, () => ({
      before: NaN,
      now: NaN,
      change: NaN,
      squares: 0,
      products: 0,
      speeds: 0,
      changing: 0,
    }));
  }

  /** The next row, figures in any unit; NaN passes. */
  add(t_s: number, row: ArrayLike<number>): void {
    const interval_s = t_s - this.before_s;
    const isEven = Math.abs(interval_s - this.interval_s) <= EVENLY * interval_s;
    for (let k = 0; k < this.sums.length; k++) lookAt(this.sums[k]!, row[k]!, isEven);
    this.before_s = t_s;
    this.interval_s = interval_s;
  }

  /** Numbers of the columns that shake. */
  found(): number[] {
    return this.sums.flatMap(({ squares, products, speeds, changing }, k) => {
      const isSeen = changing >= LEAST_FRAMES && squares > ROUNDING ** 2 * speeds;
      return isSeen && products < SHAKES_BELOW * squares ? [k] : [];
    });
  }
}

function lookAt(sums: Sums, value: number, isEven: boolean): void {
  const change = isEven ? value - 2 * sums.now + sums.before : NaN;
  if (!Number.isNaN(change)) {
    if (!Number.isNaN(sums.change)) sums.products += change * sums.change;
    sums.squares += change * change;
    sums.speeds += (value - sums.now) ** 2;
    if (change !== 0) sums.changing += 1;
  }
  sums.change = change;
  sums.before = sums.now;
  sums.now = value;
}
