/**
 * Looking ahead: while a stream plays, targets are found before their time and wait here, a row for each tick, so that
 * a joint knows where it will have to stop. The pose waits with them: what is settled from, or kept over a reset, is the
 * pose of the joints, not the one found last.
 */
import {
  AHEAD,
  GOAL,
  JointState,
  OUTPUTS,
  OUTPUT_PLACES_AT,
  PLACE_POSE_AT,
  at,
  image,
  joint,
  put,
} from './layout';
import { POSE, placePose } from './reach';

/** A row is a pose, then the joints. */
const ROW_JOINTS_AT: usize = 24;
/** The pose that is due, which a board keeps over a reset. */
const DUE_POSE: usize = OUTPUTS + OUTPUT_PLACES_AT + PLACE_POSE_AT;


@unmanaged
class Ahead {
  /** Rows that wait; 0: targets are due at once. */
  ticks: u32;
  /** Bytes of a row, and of all. */
  row: usize;
  rows: usize;
  /** The row that comes due next. */
  next: usize;
}
const STATE: usize = memory.data(16);
// @ts-ignore: decorator
@inline function ahead(): Ahead {
  return changetype<Ahead>(STATE);
}

// @ts-ignore: decorator
@inline export function waiting(): u32 {
  return ahead().ticks;
}
// @ts-ignore: decorator
@inline export function rowBytes(): usize {
  return ahead().row;
}
// @ts-ignore: decorator
@inline export function allBytes(): usize {
  return ahead().rows;
}

/** Begins to look ahead, standing where the joints were last asked to be. */
export function startAhead(): void {
  const a = ahead();
  const count = i32(image().joint_count);
  a.ticks = image().look_ahead;
  a.row = ROW_JOINTS_AT + (usize(count) << 2);
  a.rows = a.row * usize(a.ticks);
  a.next = AHEAD;
  for (let i = 0; i < count; i++) {
    const j = joint(i);
    j.newest = j.target;
    standFrom(j);
  }
  fillRows(AHEAD, a.ticks);
}

/** Nothing waits any more: what was due last is what is asked now. */
export function stopAhead(): void {
  if (!ahead().ticks) return;
  ahead().ticks = 0;
  placePose(DUE_POSE);
  for (let i = 0; i < i32(image().joint_count); i++) {
    const j = joint(i);
    j.newest = j.target;
    j.wild = 1;
  }
}

/** Forgets what waits: the joints have been placed anew. */
export function forgetAhead(): void {
  ahead().ticks = 0;
}

/**
 * The stream was broken off: the joints stand as soon as all of them can have stopped, at targets that they were on
 * their way to; what waited beyond is dropped.
 */
export function cutAhead(): void {
  const a = ahead();
  if (!a.ticks) return;
  const count = i32(image().joint_count);
  let kept: u32 = 1;
  for (let i = 0; i < count; i++) {
    const j = joint(i);
    const braking = j.step > 0 ? <f32>2.0 * j.half_over_minus * j.step : <f32>-2.0 * j.half_over_plus * j.step;
    if (!(braking < f32(a.ticks))) return;
    if (u32(braking) + 1 > kept) kept = u32(braking) + 1;
  }
  if (kept >= a.ticks) return;
  const last = after(a.next, kept);
  placePose(last);
  memory.copy(GOAL, last, 24);
  for (let i = 0; i < count; i++) {
    const j = joint(i);
    j.newest = at(last + ROW_JOINTS_AT, i);
    put(GOAL, 6 + i, j.newest);
    standFrom(j);
  }
  fillRows(after(last, 1), a.ticks - kept - 1);
}

/** From here on its targets are found anew. */
function standFrom(j: JointState): void {
  j.newest_before = j.newest;
  j.newest_step = 0;
  j.wild = ahead().ticks + 1;
}

/** The row n ticks after another, n <= ticks. */
function after(row: usize, n: u32): usize {
  const a = ahead();
  const there = row + a.row * usize(n);
  return there < AHEAD + a.rows ? there : there - a.rows;
}

/** n rows from one on: POSE, and the newest targets. */
function fillRows(row: usize, n: u32): void {
  const count = i32(image().joint_count);
  for (; n > 0; n--) {
    memory.copy(row, POSE, 24);
    for (let i = 0; i < count; i++) put(row + ROW_JOINTS_AT, i, joint(i).newest);
    row = after(row, 1);
  }
}

/** The pose that was found is put in the row of the one that comes due. Returns the joints' places in that row. */
export function turnRow(): usize {
  const a = ahead();
  const row = a.next;
  memory.copy(DUE_POSE, row, 24);
  memory.copy(row, POSE, 24);
  const next = row + a.row;
  a.next = next < AHEAD + a.rows ? next : AHEAD;
  return row + ROW_JOINTS_AT;
}
