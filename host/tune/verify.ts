/**
 * Tries limits on simulated metal: plays a stream through the controller with the plant behind it, and says of every joint
 * how long its servo was out of torque and how far behind.
 */
import { playOnMetal } from '../replay/on-metal.ts';
import type { MetalJoint, Replay } from '../replay/result.ts';
import type { Target } from '../replay/target.ts';
import { unsureWords } from '../replay/verdict.ts';
import type { Rig } from '../rig/rig.ts';
import type { StreamSource } from '../stream/read.ts';
import type { Seen } from './result.ts';

/** Behind what the stream asks now, and past everything it asks thereabouts. */
export interface Late {
  readonly behind: number;
  readonly past: number;
}

/** By joint, in the rig's order, over all streams that were played. */
export interface Trial {
  readonly joints: readonly Seen[];
  /** How far the controller had each joint behind or past what the stream asks, at most, in its shown unit; null: no stream was asked for. */
  readonly late: readonly Late[] | null;
  /** What fell first, `the plate` or a joint's name; null: nothing. */
  readonly fell: string | null;
  /** That the simulation came apart in one of them, and what to look at, a sentence: nothing is known then. Null: it did not. */
  readonly unsure: string | null;
  readonly rests_on: readonly string[];
  /** Of the stream; null: none was asked for. */
  readonly played: Replay | null;
}

export interface TrialStream {
  readonly source: StreamSource;
  readonly name: string;
  /** Its replay with this rig, where that is at hand. */
  readonly played?: Replay | null;
}

/** Throws TargetError when the target cannot be used. */
export async function tryOut(
  rig: Rig,
  target: Target,
  exercise: StreamSource,
  stream: TrialStream | null,
): Promise<Trial> {
  const joints = rig.joints.map((): Seen => ({ saturated_ms: 0, peak_error: 0, pushes: 1, falls: false }));
  const moves = await playOnMetal(rig, exercise, target, 'tune');
  const played = stream ? (stream.played ?? (await playOnMetal(rig, stream.source, target, stream.name))) : null;
  const answers = [moves, ...(played ? [played] : [])].map(({ answer }) => answer);
  for (const answer of answers)
    answer.joints.forEach(({ metal }, i) => {
      if (metal) joints[i] = worseOf(joints[i]!, metal);
    });
  const first = <T>(of: (answer: Replay['answer']) => T | null | undefined): T | null =>
    answers.map(of).find((one) => one != null) ?? null;
  return {
    joints,
    late: played && played.answer.joints.map(({ peak_error, past }) => ({ behind: peak_error, past })),
    fell: first(({ metal }) => metal?.falls?.what),
    unsure: first(unsureWords),
    rests_on: answers.at(-1)?.metal?.rests_on ?? [],
    played,
  };
}

function worseOf({ saturated_ms, peak_error, pushes, falls }: Seen, metal: MetalJoint): Seen {
  const worse = metal.beyond_rest > peak_error;
  return {
    saturated_ms: saturated_ms + metal.saturated_ms,
    peak_error: worse ? metal.beyond_rest : peak_error,
    pushes: worse ? metal.pushes : pushes,
    falls: falls || metal.falls_at_s !== null,
  };
}
