/**
 * A smooth way from one frame's values to another's, frame by frame: of least jerk, 10u³ - 15u⁴ + 6u⁵ (T. Flash & N. Hogan, J. Neurosci.
 * 5(7), 1985, 1688-1703), whose greatest speed is 15/8 of the mean one. It may begin and end only at rest.
 */
import { ACTIVE, LEGS, POSE_SLOW_AT, VALUES, at, image, joint, jointCount, jointImage, put } from '../layout';
import { SOLVED, solve } from '../kinematics';
import { magnitude } from '../kernels';
import { FRAME_US } from './plan';

const PER_S: f32 = 1000000 / f32(FRAME_US);
const PEAK: f32 = 1.875;
/** A leg does not go evenly where the pose does. */
const LEG_PEAK: f32 = 1.25 * 1.875;
/** Ten minutes: no way is longer. */
const MOST: f32 = 30000;


@unmanaged
export class Way {
  /** Frames gone, and in all. */
  n: u32;
  count: u32;
  per: f32;
}
const FROM_AT: usize = offsetof<Way>();
const TO_AT: usize = FROM_AT + 4 * usize(VALUES);
export const WAY_BYTES: i32 = i32(TO_AT) + 4 * VALUES;

// @ts-ignore: decorator
@inline export function wayFrom(way: usize): usize {
  return way + FROM_AT;
}
// @ts-ignore: decorator
@inline export function wayTo(way: usize): usize {
  return way + TO_AT;
}
// @ts-ignore: decorator
@inline export function wayGone(way: usize): bool {
  return changetype<Way>(way).n >= changetype<Way>(way).count;
}

/** Begins it: in so many frames at least, and in as many more as the slow speeds of rousing and settling need. */
export function beginWay(way: usize, least: u32): void {
  let frames = f32(least);
  const from = way + FROM_AT;
  const to = way + TO_AT;
  for (let i = 0; i < 6; i++) {
    const most = at(ACTIVE + POSE_SLOW_AT, i);
    if (most > 0) frames = longer(frames, PEAK * magnitude(at(to, i) - at(from, i)), most);
  }
  for (let i = i32(image().leg_count); i < jointCount(); i++)
    frames = longer(frames, PEAK * magnitude(at(to, 6 + i) - at(from, 6 + i)), jointImage(i).slow);
  if (image().leg_count && solve(to))
    for (let i = 0; i < LEGS; i++)
      frames = longer(frames, LEG_PEAK * magnitude(at(SOLVED, i) - joint(i).pos), jointImage(i).slow);
  begin(changetype<Way>(way), frames);
}

/** Begins it in exactly so many frames. */
export function beginQuickWay(way: usize, frames: u32): void {
  begin(changetype<Way>(way), f32(frames));
}

function begin(w: Way, frames: f32): void {
  w.n = 0;
  w.count = u32(frames < MOST ? frames : MOST);
  if (w.count == 0) w.count = 1;
  w.per = <f32>1.0 / f32(w.count);
}

// @ts-ignore: decorator
@inline function longer(frames: f32, far: f32, speed: f32): f32 {
  const needs = (far * PER_S) / speed + 1;
  return needs > frames ? needs : frames;
}

/** The next frame's values at `out`. */
export function nextOnWay(way: usize, out: usize): void {
  const w = changetype<Way>(way);
  if (w.n < w.count) w.n += 1;
  const s = share(w);
  const from = way + FROM_AT;
  const to = way + TO_AT;
  if (w.n == w.count) memory.copy(out, to, 4 * usize(VALUES));
  else for (let i = 0; i < VALUES; i++) put(out, i, at(from, i) + (at(to, i) - at(from, i)) * s);
}

/** Of the way, after the frames that are gone. */
function share(w: Way): f32 {
  const u = f32(w.n) * w.per;
  return u * u * u * (<f32>10.0 + u * (<f32>6.0 * u - <f32>15.0));
}
