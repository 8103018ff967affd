/**
 * The frames that wait to be played, in order of their instants. Times are u32 microseconds that wrap: only differences,
 * taken as signed, are ever compared.
 */
import { FRAME_BYTES, Frame, QUEUE, QUEUE_FRAMES } from './layout';

const MASK: u32 = QUEUE_FRAMES - 1;


@unmanaged
class Ends {
  first: u32;
  count: u32;
}
const ENDS: usize = memory.data(i32(offsetof<Ends>()));
// @ts-ignore: decorator
@inline function ends(): Ends {
  return changetype<Ends>(ENDS);
}

// @ts-ignore: decorator
@inline export function queued(): u32 {
  return ends().count;
}

/** The k-th frame in the order of playing; k < queued(). */
// @ts-ignore: decorator
@inline export function queuedFrame(k: u32): Frame {
  return changetype<Frame>(QUEUE + usize((ends().first + k) & MASK) * FRAME_BYTES);
}

/** a - b, right across the wrap while they are less than 35 minutes apart. */
// @ts-ignore: decorator
@inline export function since(a_us: u32, b_us: u32): i32 {
  return i32(a_us - b_us);
}

export function emptyQueue(): void {
  ends().first = 0;
  ends().count = 0;
}

/** Drops the n frames played first. */
export function dropFrames(n: u32): void {
  ends().first = (ends().first + n) & MASK;
  ends().count -= n;
}

/** What became of a frame offered to the queue. */
export const TAKEN: u32 = 0;
export const DOUBLED: u32 = 1;
export const FULL: u32 = 2;

/** Copies a frame into its place in the order. The caller has checked its values and that it is not late. */
export function offer(frame: Frame): u32 {
  let k = queued();
  if (k == QUEUE_FRAMES) return FULL;
  while (k > 0 && since(queuedFrame(k - 1).at_us, frame.at_us) > 0) k--;
  if (k > 0 && queuedFrame(k - 1).at_us == frame.at_us) return DOUBLED;
  ends().count += 1;
  for (let i = queued() - 1; i > k; i--) copyFrame(queuedFrame(i), queuedFrame(i - 1));
  copyFrame(queuedFrame(k), frame);
  return TAKEN;
}

// @ts-ignore: decorator
@inline function copyFrame(to: Frame, from: Frame): void {
  memory.copy(changetype<usize>(to), changetype<usize>(from), FRAME_BYTES);
}
