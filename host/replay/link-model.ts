/**
 * A model of the line between player and controller: each frame arrives late by a constant and a random part, or not at all.
 * Like a serial line it keeps the order. Same options and same sends, same arrivals. Does not know what a frame holds.
 */
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';

export interface LinkOptions {
  /** Constant part of the delay. */
  readonly latency_ms: number;
  /** Random part, uniform from 0 to this. */
  readonly jitter_ms: number;
  /** Share of frames lost, 0 to 1. */
  readonly loss: number;
  /** Mean length, in frames, of a run of lost frames. 1, or anything below what chance gives (1 / (1 - loss)): independent losses. */
  readonly burst: number;
  /** A whole number. */
  readonly seed: number;
}

/** Bytes arrive as they were sent, at once. */
export const PERFECT_LINK: LinkOptions = { latency_ms: 0, jitter_ms: 0, loss: 0, burst: 1, seed: 1 };

/** When a frame sent at `sent_us` arrives, in the same clock; null: never. Sends are told in order, each once. */
export type Link = (sent_us: number) => number | null;

/** What is wrong with options, a sentence each. */
export function linkProblems(options: LinkOptions): string[] {
  const problems: string[] = [];
  const { latency_ms, jitter_ms, loss, burst, seed } = options;
  if (!(latency_ms >= 0 && latency_ms < Infinity)) problems.push(`latency is ${latency_ms} ms: it must be 0 or more`);
  if (!(jitter_ms >= 0 && jitter_ms < Infinity)) problems.push(`jitter is ${jitter_ms} ms: it must be 0 or more`);
  if (!(loss >= 0 && loss <= 1)) problems.push(`loss is ${loss}: it must be a share from 0 to 1, such as 0.02`);
  if (!(burst >= 1 && burst < Infinity)) problems.push(`burst is ${burst} frames: it must be 1 or more`);
  if (!Number.isSafeInteger(seed)) problems.push(`seed is ${seed}: it must be a whole number`);
  return problems;
}

/**
 * A line with these options, which `linkProblems` finds nothing wrong with.
 *
 * Losses follow E. N. Gilbert, "Capacity of a burst-noise channel", Bell System Technical Journal 39, 1960, with everything lost
 * in the bad state: it is left with probability 1/burst and entered so often that the share comes out; it starts in balance.
 */
export function createLink(options: LinkOptions): Link {
  const { loss } = options;
  const latency_us = options.latency_ms * 1000;
  const jitter_us = options.jitter_ms * 1000;
  const random = xoroshiro128plus(options.seed);
  const leave = Math.min(1 / options.burst, 1 - loss);
  const enter = loss < 1 ? (leave * loss) / (1 - loss) : 1;
  let isBad = uniformFloat32(random) < loss;
  let newest_us = -Infinity;
  return (sent_us) => {
    // Two draws a frame whatever happens to it, so that a change of loss leaves the jitter as it was.
    const isLost = isBad;
    const chance = uniformFloat32(random);
    const late_us = latency_us + jitter_us * uniformFloat32(random);
    isBad = isLost ? chance >= leave : chance < enter;
    if (isLost) return null;
    newest_us = Math.max(newest_us, sent_us + late_us);
    return newest_us;
  };
}
