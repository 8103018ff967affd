/** The instants at which a joint is looked at while it is softened: quarters of a tick, from the stream's first frame on. */
import type { Rig } from '../../rig/rig.ts';
import type { StoredStream } from '../../stream/stored.ts';
import { frameStep } from '../whole.ts';

/** Instants in a tick: limits are kept by ticks that come at another moment too. */
export const PER_TICK = 4;

export interface Clock {
  readonly start_s: number;
  readonly tick_s: number;
  /** From one instant to the next, s. */
  readonly step_s: number;
  /** Instants from one new frame to the next: whole ticks, as few as the link bears. */
  readonly perFrame: number;
  /** The last new frame that fits into the stream: they are numbered from 0 at its start. */
  readonly lastFrame: number;
  /** Instants that are looked at: up to a frame after the stream's end. */
  readonly count: number;
}

export function clockOf(rig: Rig, stream: StoredStream): Clock {
  const tick_s = 1 / rig.motion.tick_hz;
  const step_s = tick_s / PER_TICK;
  const perFrame = PER_TICK * Math.max(1, Math.ceil(frameStep(rig, stream) / tick_s - 1e-6));
  const start_s = stream.time(0);
  const length_s = stream.time(stream.count - 1) - start_s;
  const lastFrame = Math.floor(length_s / (perFrame * step_s) + 1e-6);
  return { start_s, tick_s, step_s, perFrame, lastFrame, count: (lastFrame + 2) * perFrame + 1 };
}

/** Columns of a stream (places in its rows) at every instant of the clock. */
export function sampled(stream: StoredStream, places: readonly number[], clock: Clock): Float64Array[] {
  const columns = places.map(() => new Float64Array(clock.count));
  const row = new Float64Array(stream.size);
  for (let i = 0; i < clock.count; i++) {
    stream.evaluate(clock.start_s + i * clock.step_s, row);
    for (let c = 0; c < places.length; c++) columns[c]![i] = row[places[c]!]!;
  }
  return columns;
}
