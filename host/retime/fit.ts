/**
 * Makes a stream fit a rig: each axis is scaled about the place where it mostly is, and moved where that gives clearly more
 * motion, until every frame can be reached. What fits already stays as it is.
 *
 * The platform's six are looked for together: first the largest scale that all can have at once, which keeps the gestures'
 * shape, then each is let grow in turn as far as the others leave it room, turns before shifts, since they are what one reads
 * in a head (ours). None can grow alone then; other choices are as good.
 */
import { POSE_KEYS, type Rig } from '../rig/rig.ts';
import type { StoredStream } from '../stream/stored.ts';
import { forEachLook, type PoseRow, fitsRow, roomy } from './reachable.ts';

/** after = (before - centre) · scale + centre + moved, in mm or rad. */
export interface AxisFit {
  readonly scale: number;
  readonly centre: number;
  readonly moved: number;
}

/**
 * Moving the centres home must give so much more motion, or they stay (our choice: where a head looks is
 * seen sooner than that it moves a tenth less).
 */
const WORTH_MOVING = 1.1;
/**
 * Rows looked at in the search at first, and rows that did not fit after all that a round adds (our choice: few
 * enough to be tried over and over, so many that few rounds are needed; whatever is found is held against every frame, and every
 * tick between two frames, in the end).
 */
const LOOKED_AT = 400;
const ADDED = 200;
/** After so many it is taken not to fit (our choice: so that it ends). */
const MOST_ROUNDS = 30;
/** A scale to a thousandth. */
const HALVINGS = 10;
/** Growth in turn, by finer and finer factors: to one in a hundred, which nobody sees (our choice). */
const GROWTH = [1.2, 1.05, 1.01] as const;
/** Yaw, pitch, roll, then x, y, z: see above. */
const IN_TURN = [5, 4, 3, 0, 1, 2] as const;

type Fits = readonly AxisFit[];

const SAME: AxisFit = { scale: 1, centre: 0, moved: 0 };
/** Nothing changes. */
export const sameSize = ({ size }: StoredStream): Fits => Array.from({ length: size }, () => SAME);
export const isSame = ({ scale, moved }: AxisFit): boolean => scale === 1 && moved === 0;

/** Row of values by a fit. */
export function fitRow(fits: Fits, values: ArrayLike<number>, out: Float64Array): void {
  for (let k = 0; k < fits.length; k++) {
    const { scale, centre, moved } = fits[k]!;
    out[k] = scale === 1 && moved === 0 ? values[k]! : (values[k]! - centre) * scale + centre + moved;
  }
}

/** How each figure of a row of values is to change; null: even standing at home with nothing moving does not fit. */
export function fitStream(rig: Rig, stream: StoredStream): Fits | null {
  const joints = fitJoints(rig, stream);
  if (!rig.platform) return [...POSE_KEYS.map(() => SAME), ...joints];
  const pose = new PoseFit(rig, stream).find();
  return pose && [...pose, ...joints];
}

/** A single joint is moved no further than it must be, and scaled only where its soft limits are too narrow. */
function fitJoints(rig: Rig, stream: StoredStream): AxisFit[] {
  const { joints } = roomy(rig);
  return joints.slice(rig.platform ? 6 : 0).map(({ lo, hi }, k): AxisFit => {
    const [least, most] = extremes(stream, POSE_KEYS.length + k);
    if (!(least < lo || most > hi)) return SAME;
    const width = most - least;
    if (width <= hi - lo) return { scale: 1, centre: 0, moved: least < lo ? lo - least : hi - most };
    const centre = (least + most) / 2;
    return { scale: (hi - lo) / width, centre, moved: (lo + hi) / 2 - centre };
  });
}

/** The least and the most of a figure's values, in its own unit; NaN is neither. */
export function extremes(stream: StoredStream, k: number): readonly [number, number] {
  let least = Infinity;
  let most = -Infinity;
  for (let f = 0; f < stream.count; f++) {
    const value = stream.row(f)[k]!;
    if (value < least) least = value;
    if (value > most) most = value;
  }
  return [least, most];
}

class PoseFit {
  private readonly rig: Rig;
  private readonly stream: StoredStream;
  private readonly centres: readonly number[];
  /** Rows that the search looks at: those that did not fit last come first. */
  private readonly looks: Float64Array[] = [];
  private readonly row: PoseRow = new Float64Array(POSE_KEYS.length);

  constructor(rig: Rig, stream: StoredStream) {
    this.rig = roomy(rig);
    this.stream = stream;
    this.centres = POSE_KEYS.map((_, k) => medianOf(stream, k));
    const step = Math.max(1, Math.floor(stream.count / LOOKED_AT));
    for (let f = 0; f < stream.count; f += step) this.looks.push(stream.row(f));
  }

  find(): Fits | null {
    const same = POSE_KEYS.map(() => SAME);
    if (this.missing(same, 1).length === 0) return same;
    for (let round = 0; round < MOST_ROUNDS; round++) {
      const found = this.search();
      if (!found) return null;
      const missing = this.missing(found, ADDED);
      if (missing.length === 0) return found;
      this.looks.unshift(...missing);
    }
    return null;
  }

  /** The fit for the frames looked at. */
  private search(): Fits | null {
    const alone = this.centres.map((_, k) => this.alone(k));
    const home = this.centres.map((centre) => ({ scale: 0, centre, moved: -centre }));
    const together =
      (fits: Fits) =>
      (scale: number): Fits =>
        fits.map((fit) => ({ ...fit, scale }));
    // Centres that each can stay where they are may not all stay at once: home then.
    const start = this.largest(together(alone)) ?? this.largest(together(home));
    return start && this.grow(this.moveBack(this.grow(start)));
  }

  /** How one axis fits while the others stand at home: about its centre, or moved home where that is worth it. */
  private alone(axis: number): AxisFit {
    const at = (scale: number, isMoved: boolean): Fits =>
      this.centres.map((centre, k) =>
        k === axis ? { scale, centre, moved: isMoved ? -centre : 0 } : { scale: 0, centre, moved: -centre },
      );
    const staying = this.largest((scale) => at(scale, false))?.[axis] ?? null;
    const moving = this.largest((scale) => at(scale, true))?.[axis] ?? null;
    const isMoved = (moving?.scale ?? 0) > WORTH_MOVING * (staying?.scale ?? 0);
    return (isMoved ? moving : staying) ?? { scale: 0, centre: this.centres[axis]!, moved: -this.centres[axis]! };
  }

  /** The fits of the largest share, 0 to 1, at which all frames fit; null: none does. */
  private largest(of: (share: number) => Fits): Fits | null {
    if (this.fits(of(1))) return of(1);
    if (!this.fits(of(0))) return null;
    let [lo, hi] = [0, 1];
    for (let k = 0; k < HALVINGS; k++) {
      const middle = (lo + hi) / 2;
      if (this.fits(of(middle))) lo = middle;
      else hi = middle;
    }
    return of(lo);
  }

  private grow(fits: Fits): Fits {
    let now = fits;
    for (const factor of GROWTH) {
      let grew = true;
      while (grew) {
        grew = false;
        for (const k of IN_TURN) {
          const { scale } = now[k]!;
          if (scale === 1) continue;
          const next = now.with(k, { ...now[k]!, scale: Math.min(1, scale * factor) });
          if (!this.fits(next)) continue;
          now = next;
          grew = true;
        }
      }
    }
    return now;
  }

  /** What need not have been moved goes back. */
  private moveBack(fits: Fits): Fits {
    let now = fits;
    for (const k of IN_TURN) {
      const next = now.with(k, { ...now[k]!, moved: 0 });
      if (this.fits(next)) now = next;
    }
    return now;
  }

  private fits(fits: Fits): boolean {
    const at = this.looks.findIndex((row) => !this.fitsValues(fits, row));
    // What refuses once often refuses again.
    if (at > 0) this.looks.unshift(...this.looks.splice(at, 1));
    return at < 0;
  }

  private fitsValues(fits: Fits, values: Float64Array): boolean {
    fitRow(fits, values, this.row);
    return fitsRow(this.rig, this.row);
  }

  /** Rows of the whole stream that do not fit: at most so many, spread over it. */
  private missing(fits: Fits, most: number): Float64Array[] {
    const found: Float64Array[] = [];
    const look = (values: Float64Array): void => {
      if (!this.fitsValues(fits, values)) found.push(values.slice());
    };
    for (let f = 0; f < this.stream.count; f++) look(this.stream.row(f));
    // Between two frames every component stays between theirs, but what can be reached is no box. Scaling frames scales the curve.
    const between = new Float64Array(this.stream.size);
    if (found.length === 0)
      forEachLook(this.stream, 1 / this.rig.motion.tick_hz, (t_s) => {
        this.stream.evaluate(t_s, between);
        look(between);
      });
    const step = Math.ceil(found.length / most);
    return found.filter((_, k) => k % step === 0);
  }
}

/** The middle one of a figure's values, in its own unit; NaN where the stream leaves it alone. */
export function medianOf(stream: StoredStream, k: number): number {
  const values = Float64Array.from({ length: stream.count }, (_, f) => stream.row(f)[k]!).sort();
  return values[values.length >> 1]!;
}
