/**
 * Inverse kinematics of many poses at once, for searches and reach maps on the host: a module of its own, which the
 * controller does not know. Reach alone counts (the rod, or the stroke), not soft limits nor rod ends. `solve` is the
 * controller's own solve, one pose after another; `solve_simd` takes four at a time and gives the same bits.
 */
import {
  ACTIVE, DRIVE_CRANK, FLAG_OTHER_BRANCH, Image, JOINTS, JOINTS_AT, JointImage, LEGS, LEGS_AT, LegImage, STAGED, image,
} from './layout';
import { add, all, angleOf4, dot, mul, sincos4, sub } from './kernels4';
import { solve as solveOne } from './kinematics';

/** Poses to a call: in and out together stay in a core's first-level cache. */
const POSES: i32 = 512;
/** A pose, and its six joint coordinates, are each six f32. */
const POSE_BYTES: usize = 24;

const INPUT: usize = memory.data(512 * 24, 16);
const OUTPUT: usize = memory.data(512 * 24, 16);
/** Sines and cosines of roll, pitch, yaw, then six legs' coordinates, four poses each. */
const TRIG: usize = memory.data(96, 16);
const LEG: usize = memory.data(96, 16);

/** Where the rig image, poses (mm, rad in the carrier's frame) and coordinates (rad or mm) stand. */
export const rig: usize = STAGED;
export const input: usize = INPUT;
export const output: usize = OUTPUT;
/** Most poses of one call. */
export const capacity: i32 = POSES;

/** Takes the image at `rig` into force with soft limits and rod ends off; it must be valid. False: it has no platform. */
export function init(): bool {
  memory.copy(ACTIVE, STAGED, JOINTS_AT + usize(JOINTS) * offsetof<JointImage>());
  const rig = image();
  rig.rod_end_sin = 0;
  for (let i = 0; i < LEGS; i++) {
    const joint = changetype<JointImage>(ACTIVE + JOINTS_AT + usize(i) * offsetof<JointImage>());
    joint.lo = -Infinity;
    joint.hi = Infinity;
  }
  return i32(rig.leg_count) == LEGS;
}

/** Solves the first n poses, one at a time. A pose out of reach, or not finite, gives six NaN. */
export function solve(n: i32): void {
  for (let i = 0; i < n; i++) {
    const at = usize(i) * POSE_BYTES;
    if (!solveOne(INPUT + at, OUTPUT + at)) for (let k: usize = 0; k < 24; k += 4) store<f32>(OUTPUT + at + k, NaN);
  }
}

/** The same, four at a time; a last group that is not full is solved with what stands behind. */
export function solve_simd(n: i32): void {
  if (image().drive == u8(DRIVE_CRANK)) for (let i = 0; i < n; i += 4) solveFour<true>(usize(i) * POSE_BYTES);
  else for (let i = 0; i < n; i += 4) solveFour<false>(usize(i) * POSE_BYTES);
}
