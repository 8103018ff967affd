/** What happened, to be kept. */
/* eslint-disable @typescript-eslint/no-unused-vars */

/** Numbers are never reused. */
export const enum Kind {
  started = 2,
  stopped = 3,
  stop = 5,
  cleared = 6,
  refused = 7,
  damaged = 9,
}

export function note(_kind: Kind, _detail: u8, _value: i32): bool {
  return true;
}
/** Power went while it moved, and nobody has cleared it since. */
export function lastStopDirty(): bool {
  return false;
}
/** Everything noted outlives the power. */
export function allWritten(): bool {
  return true;
}
