/**
 * Tries limits on simulated metal: plays a stream through the controller with the plant behind it, and says of every joint
 * how long its servo was out of torque and how far behind.
 */
import { playOnMetal } from '../replay/on-metal.ts';
import type { Target } from '../replay/target.ts';
import { unsureWords } from '../replay/verdict.ts';
import type { Rig } from '../rig/rig.ts';
import type { StreamSource } from '../stream/read.ts';
import type { Seen } from './result.ts';

/** By joint, in the rig's order, over all streams that were played. */
export interface Trial {
  readonly joints: readonly Seen[];
  /** How far the controller had each joint behind what the stream asks, at most, in its shown unit; null: no stream was asked for. */
  readonly late: readonly number[] | null;
  /** What fell first, `the plate` or a joint's name; null: nothing. */
  readonly fell: string | null;
  /** That the simulation came apart in one of them, and what to look at, a sentence: nothing is known then. Null: it did not. */
  readonly unsure: string | null;
  readonly rests_on: readonly string[];
}

/** Throws TargetError when the target cannot be used. */
export async function tryOut(
  rig: Rig,
  target: Target,
  exercise: StreamSource,
  stream: StreamSource | null,
): Promise<Trial> {
  const joints = rig.joints.map((): Seen => ({ saturated_ms: 0, peak_error: 0, pushes: 1, falls: false }));
  let fell: string | null = null;
  let unsure: string | null = null;
  let rests_on: readonly string[] = [];
  let late: readonly number[] | null = null;
  for (const source of stream ? [exercise, stream] : [exercise]) {
    const { answer } = await playOnMetal(rig, source, target, 'tune');
    answer.joints.forEach(({ metal }, i) => {
      if (!metal) return;
      const { saturated_ms, peak_error, pushes, falls } = joints[i]!;
      const worse = metal.beyond_rest > peak_error;
      joints[i] = {
        saturated_ms: saturated_ms + metal.saturated_ms,
        peak_error: worse ? metal.beyond_rest : peak_error,
        pushes: worse ? metal.pushes : pushes,
        falls: falls || metal.falls_at_s !== null,
      };
    });
    if (source === stream) late = answer.joints.map(({ peak_error }) => peak_error);
    fell ??= answer.metal?.falls?.what ?? null;
    unsure ??= unsureWords(answer);
    rests_on = answer.metal?.rests_on ?? rests_on;
  }
  return { joints, late, fell, unsure, rests_on };
}
