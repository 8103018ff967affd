/** What every stretch of a stream knows of the whole. */
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
