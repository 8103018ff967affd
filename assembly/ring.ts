/**
 * Where targets wait for their time while the controller looks ahead: a ring of rows, one for each tick, of a pose and the
 * joints' targets for it. The row that comes due next is the one that the newest takes the place of.
 */
import { JOINTS } from './layout';

/** The ring has so many places: rows times columns. */
export const RING_PLACES: u32 = 1024;
/** A row is a pose, then the joints. */
export const ROW_JOINTS_AT: usize = 24;


@unmanaged
class Rows {
  /** How many there are; 0: nothing waits, targets are due at once. */
  ticks: u32;
  /** Bytes of one, and where the last one ends. */
  bytes: usize;
  end: usize;
  /** The one that comes due next. */
  next: usize;
}
const ROWS: usize = memory.data(i32(offsetof<Rows>()));
const RING: usize = memory.data(i32(RING_PLACES) * 4);
// @ts-ignore: decorator
@inline function rows(): Rows {
  return changetype<Rows>(ROWS);
}

/** Of a joint: the newest target, found on this tick; the one before, its step; ticks for which some target that waits, or the one due, cannot be followed. */
@unmanaged
export class Newest {
  target: f32;
  before: f32;
  step: f32;
  unfollowable: u32;
}
const NEWEST: usize = memory.data(JOINTS * i32(offsetof<Newest>()));
// @ts-ignore: decorator
@inline export function newest(i: i32): Newest {
  return changetype<Newest>(NEWEST + usize(i) * offsetof<Newest>());
}

/** Ticks between a target's being found and its being due. */
// @ts-ignore: decorator
@inline export function waiting(): u32 {
  return rows().ticks;
}

/** Makes so many rows for so many joints, of which the first comes due next; none: forgets what waits. */
export function makeRows(ticks: u32, joints: u32): void {
  const r = rows();
  r.ticks = ticks;
  r.bytes = ROW_JOINTS_AT + usize(joints << 2);
  r.end = RING + r.bytes * usize(ticks);
  r.next = RING;
}

/** The row, or the place in it, n ticks after another, n up to all of them. */
// @ts-ignore: decorator
@inline export function cellAt(cell: usize, n: u32): usize {
  const r = rows();
  const there = cell + r.bytes * usize(n);
  return there < r.end ? there : there - (r.end - RING);
}

/** The next row, or the place in it. */
// @ts-ignore: decorator
@inline export function cellAfter(cell: usize): usize {
  const r = rows();
  const there = cell + r.bytes;
  return there < r.end ? there : there - (r.end - RING);
}

/** The row that comes due next, 0: on this tick. */
// @ts-ignore: decorator
@inline export function rowAfter(n: u32): usize {
  return cellAt(rows().next, n);
}

/** The row that is due, for the newest to take its place. */
// @ts-ignore: decorator
@inline export function turnRow(): usize {
  const row = rows().next;
  rows().next = cellAfter(row);
  return row;
}
