/**
 * Smaller rather than slower: the largest share of a stream's gestures at which it keeps its tempo. What slowing costs falls
 * steadily with the size of a motion, about as its power of 1.75 (measured on fourteen streams), so a secant in logarithms finds it.
 */
import { carriersOf } from '../rig/carriers.ts';
import { POSE_KEYS, type Rig } from '../rig/rig.ts';
import { streamJoints } from '../stream/read.ts';
import type { StoredStream } from '../stream/stored.ts';
import { type AxisFit, extremes, medianOf } from './fit.ts';

/** A first guess of the power with which the cost of slowing grows with size, and what a secant may make of it. */
const POWER = 1.75;
const [LEAST_POWER, MOST_POWER] = [0.5, 6];
/** Near enough: so much of what may be lost is used. */
const USED = 0.9;
/** Retimings at the most: a search that ends (ours). */
const MOST_TRIES = 8;

/**
 * The retiming at the largest share of its gestures, 0 to 1, at which a stream takes at most `tempo` times as long (more than 1),
 * to a tenth of what may be lost; at the last share tried where none does.
 * @param at retimes at a share; @param lostBy by what share of its length a retiming is longer, null: nothing could be done.
 */
export function withinTempo<Done>(
  tempo: number,
  at: (share: number) => Done,
  lostBy: (done: Done) => number | null,
): { readonly done: Done; readonly share: number } {
  const may = tempo - 1;
  let [share, power] = [1, POWER];
  let [tooLarge, last]: [number, { share: number; lost: number } | null] = [Infinity, null];
  let best: { done: Done; share: number } | null = null;
  for (let k = 0; ; k++) {
    const done = at(share);
    const lost = lostBy(done);
    if (lost === null) return { done, share };
    if (lost <= may) best = { done, share };
    else tooLarge = share;
    if ((lost <= may && (share === 1 || lost >= USED * may)) || k + 1 >= MOST_TRIES) return best ?? { done, share };
    if (last && lost > 0 && last.lost > 0 && last.share !== share) {
      const secant = Math.log(lost / last.lost) / Math.log(share / last.share);
      power = Math.min(MOST_POWER, Math.max(LEAST_POWER, secant)) || POWER;
    }
    last = { share, lost };
    const aim = share * ((0.96 * may) / Math.max(lost, may / 10)) ** (1 / power);
    const least = best?.share ?? 0;
    share = aim > least && aim < tooLarge ? aim : (least + Math.min(1, tooLarge)) / 2;
  }
}

/** The same gestures at a share of their size: the pose's six and what carries it; what carries nothing slows nobody. */
export function resized(rig: Rig, stream: StoredStream, fits: readonly AxisFit[], share: number): readonly AxisFit[] {
  if (share === 1) return fits;
  const carriers = carriersOf(rig);
  const columns = [...POSE_KEYS.map(() => ''), ...streamJoints(rig)];
  return fits.map((fit, k) => {
    if (k >= POSE_KEYS.length && !carriers.has(columns[k]!)) return fit;
    // What the stream leaves alone, or never moves, has no size.
    const [least, most] = extremes(stream, k);
    if (!(most > least)) return fit;
    const centre = fit.scale === 1 ? medianOf(stream, k) : fit.centre;
    return { ...fit, scale: fit.scale * share, centre };
  });
}
