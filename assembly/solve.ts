/** The inverse kinematics alone, for counting its instructions (boards/bench): image, poses and answers stand in its memory. */
import { ACTIVE } from './layout';
import { SOLVED, prepare, solve } from './kinematics';

const POSES: usize = memory.data(200 * 24);

export const image: usize = ACTIVE;
export const poses: usize = POSES;
export const out: usize = SOLVED;

export function arena_bytes(): usize {
  return __heap_base;
}

/** To be called once, when the image stands at its place. */
export function ready(): void {
  prepare();
}

/** Solves the pose at an offset. */
export function solve_pose(pose: usize): bool {
  return solve(pose);
}
