/**
 * The wobble filter's place in the tick: behind the limits, where positive impulses that sum to 1 keep every bound.
 * Identity: no rig image with impulses is accepted (rig.ts).
 */
import { joint } from './layout';

/** Passes the tracked joints on as they are. */
export function filterAll(count: i32): void {
  for (let i = 0; i < count; i++) {
    const j = joint(i);
    j.out = j.pos;
    j.out_step = j.step;
  }
}
