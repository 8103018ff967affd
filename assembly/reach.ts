/**
 * Keeps the platform's pose reachable and its speed bounded. Out of reach, it follows the furthest reachable point on the
 * segment from home to the asked pose; the share of the segment is searched over the ticks, so that a tick solves the
 * inverse kinematics at most twice. Whatever is asked, the pose that comes out has been solved: its joints exist.
 */
import { ACTIVE, GOAL, LEGS, POSE_SLOW_AT, POSE_SPEED_AT, at, copyPose, image, put } from './layout';
import { clamp } from './kernels';
import { solve } from './kinematics';
import { newest } from './ring';


@unmanaged
class Search {
  /** Share of the segment now followed, 1 when the asked pose is in reach; and the next change to try. */
  share: f32;
  stride: f32;
  /** Ticks left of moving straight home, because the way to the asked pose leaves the reach. */
  detour: u32;
  /** 1: slow speeds apply (rousing, settling). */
  slow: u32;
  /** 1: the asked pose is in reach. */
  reached: u32;
}
const SEARCH: usize = memory.data(i32(offsetof<Search>()));
// @ts-ignore: decorator
@inline function search(): Search {
  return changetype<Search>(SEARCH);
}

/** Pose followed now (always reachable), candidates, and joints solved for them. */
export const POSE: usize = memory.data(24);
const WANTED: usize = memory.data(24);
const NEXT: usize = memory.data(24);
const SOLVED: usize = memory.data(24);

const LEAST_STRIDE: f32 = 0.00002;
const FIRST_STRIDE: f32 = 0.002;
const MOST_STRIDE: f32 = 0.125;
const DETOUR_TICKS: u32 = 8;

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
  s.detour = 0;
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
  if (s.detour > 0) {
    s.detour -= 1;
    want(0);
    stepToward(WANTED);
    if (solve(NEXT, SOLVED)) take();
    return;
  }

  // First solve: a share a little further out than the one that held.
  const tried: f32 = s.share + s.stride < 1 ? s.share + s.stride : 1;
  want(tried);
  const inReach = solve(WANTED, SOLVED);
  s.reached = u32(inReach && tried == 1);
  if (inReach) {
    s.share = tried;
    s.stride = s.stride < MOST_STRIDE ? s.stride * 2 : MOST_STRIDE;
    if (stepToward(WANTED)) {
      take();
      return;
    }
  } else {
    if (s.share == 1) {
      s.share = nearestShare();
      s.stride = FIRST_STRIDE;
    } else s.stride = s.stride > LEAST_STRIDE ? s.stride * <f32>0.5 : LEAST_STRIDE;
    want(s.share);
    stepToward(WANTED);
  }

  // Second solve: the pose that the speeds allow, or the share that held until now. Failing that, the plate stays.
  if (solve(NEXT, SOLVED)) {
    take();
    return;
  }
  if (inReach) s.detour = DETOUR_TICKS;
  else {
    const near = nearestShare();
    const back = (near < s.share ? near : s.share) - s.stride;
    s.share = back > 0 ? back : 0;
    s.stride = s.stride * 4 < MOST_STRIDE ? s.stride * 4 : MOST_STRIDE;
  }
}
