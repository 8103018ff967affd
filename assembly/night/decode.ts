/** A show out of its data, frame by frame. */
/* eslint-disable @typescript-eslint/no-unused-vars */

/** The show of the entry, from its beginning. */
export function openShow(): void {}
/** The next frame into VALUES f32 at `to`. False: not there yet, or the show has ended. */
export function nextFrame(_to: usize): bool {
  return false;
}
export function ended(): bool {
  return true;
}
/** The data ended before its frames did. */
export function isSpoilt(): bool {
  return false;
}
/** What joint j takes in the segment of the last frame, in shares of what it bears for ever. */
export function heatNow(_j: i32): f32 {
  return 0;
}
