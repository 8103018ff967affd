/** A lower tick rate for what does not fit at the one that a rig has. */
import type { Joint } from './rig.ts';

/** Slowest tick rate of a controller, Hz. */
const LEAST_HZ = 50;

/** The fastest tick rate below tick_hz at which it fits: a multiple of every servo's frame rate; null: at none. */
export function slowerTicks(
  joints: readonly Pick<Joint, 'servo'>[],
  tick_hz: number,
  fits: (tick_hz: number) => boolean,
): number | null {
  for (let slower = tick_hz - 1; slower >= LEAST_HZ; slower--)
    if (joints.every(({ servo }) => slower % servo.frame_hz === 0) && fits(slower)) return slower;
  return null;
}
