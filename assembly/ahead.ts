/**
 * Looking ahead: while a stream plays, targets are found before their time, and wait in the ring, so that a joint knows where it
 * will have to stop. The pose waits with them: what is settled from, or kept over a reset, is the pose of the joints, not the
 * one found last.
 */
import { GOAL, OUTPUTS, OUTPUT_PLACES_AT, PLACE_POSE_AT, at, copyPose, image, joint, jointCount, put } from './layout';
import { POSE, placePose } from './reach';
import { ROW_JOINTS_AT, makeRows, newest, rowAfter, turnRow, waiting } from './ring';
import { followable, goesOn, place, track } from './track';

/** The pose that is due, which a board keeps over a reset. */
const DUE_POSE: usize = OUTPUTS + OUTPUT_PLACES_AT + PLACE_POSE_AT;

/** Puts joint i at rest somewhere inside its limits, and asks no more of it. */
export function placeJoint(i: i32, pos: f32): void {
  place(joint(i), pos);
  newest(i).target = pos;
}

/** Forgets what waits: the joints have been placed anew. */
export function forgetAhead(): void {
  makeRows(0, 0);
}

/** Begins to look ahead, standing where the joints were last asked to be. */
export function startAhead(): void {
  const count = jointCount();
  makeRows(image().look_ahead, count);
  for (let i = 0; i < count; i++) newest(i).target = joint(i).target;
  standFrom(0);
}

/** Whether targets wait for their time, as a stream's do. A hand's are due at once, so a joint may overshoot one that it cannot stop at. */
export function lookAhead(on: bool): void {
  if (!on) stopAhead();
  else if (image().look_ahead && !waiting()) startAhead();
}

/** Nothing waits any more: what was due last is what is asked now. */
export function stopAhead(): void {
  if (!waiting()) return;
  forgetAhead();
  placePose(DUE_POSE);
  for (let i = 0; i < jointCount(); i++) newest(i).target = joint(i).target;
}

/**
 * The stream was broken off: the joints stand as soon as all of them can have stopped, at targets that they were on
 * their way to; what waits beyond is dropped.
 */
export function cutAhead(): void {
  const ticks = waiting();
  const count = jointCount();
  let kept: u32 = 1;
  for (let i = 0; i < count; i++) {
    const j = joint(i);
    const braking = j.step > 0 ? <f32>2.0 * j.half_over_minus * j.step : <f32>-2.0 * j.half_over_plus * j.step;
    if (!(braking < f32(ticks))) return;
    if (u32(braking) + 1 > kept) kept = u32(braking) + 1;
  }
  if (kept >= ticks) return;
  const last = rowAfter(kept);
  placePose(last);
  copyPose(GOAL, last);
  for (let i = 0; i < count; i++) {
    const target = at(last + ROW_JOINTS_AT, i);
    newest(i).target = target;
    put(GOAL, 6 + i, target);
  }
  standFrom(kept + 1);
}

/** From the n-th row on the newest targets are all that waits. */
function standFrom(n: u32): void {
  const ticks = waiting();
  const count = jointCount();
  for (; n < ticks; n++) {
    const row = rowAfter(n);
    copyPose(row, POSE);
    for (let i = 0; i < count; i++) put(row + ROW_JOINTS_AT, i, newest(i).target);
  }
  for (let i = 0; i < count; i++) {
    const found = newest(i);
    found.before = found.target;
    found.step = 0;
    found.unfollowable = ticks + 1;
  }
}

/** The targets that are due come out of their row, and the newest go in. Returns the first one's place in it. */
function exchange(count: i32): usize {
  const ticks = waiting();
  const row = turnRow();
  copyPose(DUE_POSE, row);
  copyPose(row, POSE);
  const first = row + ROW_JOINTS_AT;
  for (let i = 0; i < count; i++) {
    const found = newest(i);
    const j = joint(i);
    const cell = first + (usize(i) << 2);
    const target = found.target;
    const step = target - found.before;
    j.target = load<f32>(cell);
    store<f32>(cell, target);
    if (!followable(j, found.before, found.step, step)) found.unfollowable = ticks + 1;
    else if (found.unfollowable) found.unfollowable -= 1;
    found.before = target;
    found.step = step;
  }
  return first;
}

/** Tracks every joint of the rig, to its newest target or, looking ahead, to the one that is due. */
export function trackAll(count: i32): void {
  if (waiting()) {
    let cell = exchange(count);
    for (let i = 0; i < count; i++) {
      const j = joint(i);
      if (newest(i).unfollowable || !goesOn(j)) track(j, cell);
      cell += 4;
    }
    return;
  }
  for (let i = 0; i < count; i++) {
    const j = joint(i);
    j.target = newest(i).target;
    track(j, 0);
  }
}
