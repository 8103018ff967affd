/**
 * Keeps the platform's pose reachable and its speed bounded. Out of reach, it follows the furthest reachable point on the
 * segment from home to the asked pose; the share of the segment is searched over the ticks. What is solved is what will be
 * taken: a tick solves the inverse kinematics once, and once more where the first was stopped, which the leg that
 * stopped the last one finds out soon. Whatever is asked, the pose that comes out has been solved: its joints exist.
 */
import { ACTIVE, GOAL, LEGS, POSE_SLOW_AT, POSE_SPEED_AT, at, copyPose, image, put } from './layout';
import { clamp, magnitude } from './kernels';
import { SOLVED, solve, stoppedSoon } from './kinematics';
import { newest } from './ring';


@unmanaged
class Search {
  /** Share of the segment now followed, 1 when the asked pose is in reach; and the next change to try. */
  share: f32;
  stride: f32;
  /** How often the plate has been stuck since it last got to where it was going; ticks left of moving straight home. */
  stuck: u32;
  homeward: u32;
  /** What goes homeward: WHOLE, SHIFT, TURN. */
  part: u32;
  /** 1: slow speeds apply (rousing, settling). */
  slow: u32;
  /** 1: nothing stops the way to the asked pose. */
  reached: u32;
}
const SEARCH: usize = memory.data(i32(offsetof<Search>()));
// @ts-ignore: decorator
@inline function search(): Search {
  return changetype<Search>(SEARCH);
}

/** Pose followed now (always reachable), and candidates. */
export const POSE: usize = memory.data(24);
const WANTED: usize = memory.data(24);
const NEXT: usize = memory.data(24);

const LEAST_STRIDE: f32 = 0.00002;
const FIRST_STRIDE: f32 = 0.002;
const MOST_STRIDE: f32 = 0.125;
/** So often a stuck plate tries a share nearer to home; then it goes home, each time twice as many ticks, to so many. */
const NEARER_TRIES: u32 = 5;
const MOST_HOMEWARD: u32 = 64;
/** Homeward goes all of a pose; where that is stopped, x, y, z alone, then roll, pitch, yaw alone. */
const WHOLE: u32 = 0;
const SHIFT: u32 = 1;
const TURN: u32 = 2;

/** Largest step a tick of each component, 0: any; at full speed, then slow. */
const STEPS: usize = memory.data(48);
const SLOW_STEPS_AT: usize = 24;

/** Sets the steps from the image in force. */
export function setPoseSteps(): void {
  const per_tick_s: f32 = <f32>1.0 / f32(image().tick_hz);
  for (let i = 0; i < 6; i++) {
    put(STEPS, i, at(ACTIVE + POSE_SPEED_AT, i) * per_tick_s);
    put(STEPS + SLOW_STEPS_AT, i, at(ACTIVE + POSE_SLOW_AT, i) * per_tick_s);
  }
}

export function placePose(pose: usize): void {
  memory.copy(POSE, pose, 24);
  const s = search();
  s.share = 1;
  s.stride = FIRST_STRIDE;
  s.homeward = 0;
  s.stuck = 0;
  s.reached = 1;
}

// @ts-ignore: decorator
@inline export function setPoseSlow(slow: bool): void {
  search().slow = u32(slow);
}

// @ts-ignore: decorator
@inline export function poseReached(): bool {
  return search().reached != 0;
}

/** NEXT = POSE moved toward `to`, no component faster than its speed. Returns whether it got there. */
function stepToward(to: usize): bool {
  const steps = STEPS + (search().slow ? SLOW_STEPS_AT : 0);
  let there = true;
  for (let i = 0; i < 6; i++) {
    const from = at(POSE, i);
    let d = at(to, i) - from;
    const most = at(steps, i);
    if (most > 0) {
      if (d > most) {
        d = most;
        there = false;
      } else if (d < -most) {
        d = -most;
        there = false;
      }
    }
    put(NEXT, i, there ? at(to, i) : from + d);
  }
  return there;
}

/** NEXT = POSE moved toward home, straight, no component faster than its speed: all of it, or its first or last three. */
function stepHome(part: u32): void {
  const steps = STEPS + (search().slow ? SLOW_STEPS_AT : 0);
  const first = part == TURN ? 3 : 0;
  const end = part == SHIFT ? 3 : 6;
  let share = MOST_STRIDE;
  for (let i = first; i < end; i++) {
    const far = magnitude(at(POSE, i));
    const most = at(steps, i);
    if (most > 0 && far * share > most) share = most / far;
  }
  copyPose(NEXT, POSE);
  for (let i = first; i < end; i++) put(NEXT, i, at(POSE, i) * (<f32>1.0 - share));
}

function take(): void {
  copyPose(POSE, NEXT);
  for (let i = 0; i < LEGS; i++) newest(i).target = at(SOLVED, i);
}

/** WANTED = share of the asked pose. */
function want(share: f32): void {
  if (share == 1) {
    copyPose(WANTED, GOAL);
    return;
  }
  for (let i = 0; i < 6; i++) put(WANTED, i, at(GOAL, i) * share);
}

/** Share of the segment from home to the asked pose that lies nearest to where the plate is, radians counted as 50 mm. */
function nearestShare(): f32 {
  let along: f32 = 0,
    length: f32 = 0;
  for (let i = 0; i < 6; i++) {
    const scale: f32 = i < 3 ? 1 : 2500;
    const goal = at(GOAL, i);
    along += scale * goal * at(POSE, i);
    length += scale * goal * goal;
  }
  return length > 0 ? clamp(along / length, 0, 1) : 0;
}

/** One tick: moves POSE toward the asked pose in GOAL and sets the legs' newest targets. */
export function followPose(): void {
  const s = search();
  if (s.homeward > 0) {
    goHomeward();
    return;
  }
  // First solve: the step toward a share a little further out than the one that held.
  const tried: f32 = s.share + s.stride < 1 ? s.share + s.stride : 1;
  want(tried);
  const there = stepToward(WANTED);
  if (solve(NEXT)) {
    s.reached = u32(tried == 1);
    // On the way the share grows too, but not where ways have been stopped: there the plate keeps to the segment.
    if (there || !s.stuck) {
      s.share = tried;
      s.stride = s.stride < MOST_STRIDE ? s.stride * 2 : MOST_STRIDE;
    }
    if (there) s.stuck = 0;
    take();
    return;
  }
  s.reached = 0;
  if (s.share == 1 || !there) {
    const near = nearestShare();
    if (near < s.share) s.share = near;
    s.stride = FIRST_STRIDE;
  } else s.stride = s.stride > LEAST_STRIDE ? s.stride * <f32>0.5 : LEAST_STRIDE;

  // Second solve: the step toward the share that held. Where another leg than the last has stopped the first, there is no time for it.
  if (!stoppedSoon()) return;
  want(s.share);
  stepToward(WANTED);
  if (solve(NEXT)) take();
  else getUnstuck();
}

/** The plate stays on this tick. On the next it tries a share nearer to home; where that has not helped, it goes home until a way is free. */
function getUnstuck(): void {
  const s = search();
  if (s.stuck < NEARER_TRIES) {
    const near = nearestShare();
    const back = (near < s.share ? near : s.share) - FIRST_STRIDE * f32(1 << (2 * s.stuck));
    s.share = back > 0 ? back : 0;
  } else {
    const ticks = u32(2) << (s.stuck - NEARER_TRIES);
    s.homeward = ticks < MOST_HOMEWARD ? ticks : MOST_HOMEWARD;
  }
  if (s.stuck < 16) s.stuck += 1;
}

/** One tick of moving straight home. */
function goHomeward(): void {
  const s = search();
  stepHome(s.part);
  if (solve(NEXT)) take();
  else s.part = s.part < TURN ? s.part + 1 : WHOLE;
  s.homeward -= 1;
  if (s.homeward > 0) return;
  s.share = nearestShare();
  s.stride = FIRST_STRIDE;
}
