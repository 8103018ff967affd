/** A stream walked tick by tick, at the ticks at which a replay plays it: what it asks for, and what of that is too much. */
import { Envelope } from '../replay/envelope.ts';
import type { StoredStream } from '../stream/stored.ts';
import type { Loads } from './loads.ts';
import type { RigMotion } from './motion.ts';
import { flag } from './spans.ts';
import { ALLOWED, type Excess, Peaks, TickWalk } from './ticks.ts';

/** The stream's largest figures, the worst share of a limit along it, and what is too much. */
export interface Walked {
  readonly peaks: Peaks;
  readonly worst: Envelope;
  readonly found: readonly Excess[];
}

/** From a tick before the first frame to a tick after the last. */
export function walkAll(motion: RigMotion, loads: Loads, stream: StoredStream): Walked {
  const walk = new TickWalk(motion, loads, 1, ALLOWED);
  const peaks = new Peaks(motion.axes.length, motion.rig.joints.length);
  const worst = new Envelope();
  const found: Excess[] = [];
  const start_s = stream.time(0);
  walk.walk(stream, start_s - walk.dt_s, stream.time(stream.count - 1) + walk.dt_s, peaks, {
    excess: (excess) => void found.push(excess),
    tick: (t_s, share) => {
      worst.add(t_s - start_s, share);
    },
  });
  return { peaks, worst, found };
}

/** By frame interval: 1 where a tick asks for too much. */
export function flags(motion: RigMotion, stream: StoredStream, found: readonly Excess[]): Uint8Array {
  const tooMuch = new Uint8Array(stream.count);
  for (const { t_s } of found) flag(tooMuch, stream, t_s, 1 / motion.rig.motion.tick_hz);
  return tooMuch;
}
