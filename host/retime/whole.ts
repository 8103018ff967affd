/** What every stretch of a stream knows of the whole. */
import type { Rig } from '../rig/rig.ts';
import { streamJoints } from '../stream/read.ts';
import type { StoredStream } from '../stream/stored.ts';
import type { Loads } from './loads.ts';
import type { RigMotion } from './motion.ts';
import type { Steadiness } from './steady.ts';

export interface Whole {
  readonly motion: RigMotion;
  readonly loads: Loads;
  readonly stream: StoredStream;
  /** By frame interval: 1 where ticks ask for too much at the stream's own pace. */
  readonly tooMuch: Uint8Array;
  /** Frames of the new stream are about so far apart where it is slowed. */
  readonly frame_s: number;
  /** Times of the stream that are to stay where they are, seen from its start; increasing. Empty: none. */
  readonly kept_s: readonly number[];
  /** Keeps speed peaks away; null: as quick as can be. */
  readonly steady: Steadiness | null;
}

/** Frames in slowed places lie no closer than this, s. */
const CLOSEST_S = 0.005;
/** Half of a serial link, at ten bits a byte (8N1), is for poses; USB is far quicker. A pose frame has so many bytes, and four more a joint. */
const LINK_SHARE = 0.5;
const POSE_BYTES = 44;
const BITS = 10;

/**
 * How far apart frames lie where the stream is slowed, s: a tick, so that the corners of the pace cost little time (at twice
 * that, twice as much), unless the stream's own lie closer, or the link is slow.
 */
export function frameStep(rig: Rig, stream: StoredStream): number {
  const steps = Float64Array.from({ length: stream.count - 1 }, (_, f) => stream.time(f + 1) - stream.time(f)).sort();
  const own_s = steps[steps.length >> 1] ?? Infinity;
  const bytes = POSE_BYTES + 4 * streamJoints(rig).length;
  const baud = rig.board?.baud ?? null;
  const link_s = baud === null ? 0 : (bytes * BITS) / (LINK_SHARE * baud);
  return Math.max(CLOSEST_S, link_s, Math.min(own_s, 1 / rig.motion.tick_hz));
}
