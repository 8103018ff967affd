/**
 * The pace of what carries something, found as if joints that carry nothing had no limits: where a change of pace then asks too
 * much of such a joint, it is softened once more, in the new stream.
 */
import { Loads } from './loads.ts';
import { RigMotion } from './motion.ts';
import type { SoftenedJoint } from './result.ts';
import { loneJoints, movesOther } from './soften/lone.ts';
import { softenInPlace } from './soften/soften.ts';
import { type Steadied, solveSteadied } from './steadied.ts';
import { type Walked, flags, walkAll } from './ticks.ts';
import { warpOf } from './paced.ts';
import type { Whole } from './whole.ts';

export interface FreelyPaced extends Steadied {
  /** Joints softened once more; times in the stream as it was. */
  readonly softened: readonly SoftenedJoint[];
  /** The new stream walked, with all limits. */
  readonly after: Walked;
}

/** Null: there is no such joint that moves, or a tick would still ask for too much. */
export function solveFreely(whole: Whole, isQuickest: boolean, progress: (share: number) => void): FreelyPaced | null {
  const { motion, loads, stream } = whole;
  const lone = loneJoints(motion.rig).filter(({ place }) => !Number.isNaN(stream.row(0)[place]!));
  if (lone.length === 0 || !whole.tooMuch.includes(1) || !movesOther(stream, lone)) return null;
  const free = new Set(lone.map(({ index }) => index));
  const freed = { motion: new RigMotion(motion.rig, free), loads: new Loads(motion, free) };
  const { found } = walkAll(freed.motion, freed.loads, stream);
  const tooMuch = flags(motion, stream, found);
  const solved = solveSteadied({ ...whole, ...freed, tooMuch }, isQuickest, progress);
  const walked = walkAll(motion, loads, solved.stream);
  if (walked.found.length === 0) return { ...solved, softened: [], after: walked };
  const again = softenInPlace(motion, loads, solved.stream);
  const after = again && walkAll(motion, loads, again.stream);
  if (!after || after.found.length > 0) return null;
  const { was_s, now_s } = warpOf(stream, solved.stretches);
  const wasAt = (at_s: number): number =>
    was_s[
      Math.max(
        0,
        now_s.findLastIndex((t_s) => t_s <= at_s),
      )
    ]!;
  const start_s = stream.time(0);
  const softened = again.softened.map((told) => ({ ...told, at_s: start_s + wasAt(told.at_s - start_s) }));
  return { ...solved, stream: again.stream, softened, after };
}
