/**
 * The lowest swing that a wobble cure is about, as the rig file lets compute it, to cure before there is a prop to shake. Its frequency rests on the
 * servos' stiffness alone, and its damping is a guess: a measured wobble is better, and the words say so.
 */
import type { Wobble } from '../physics/vibration/decrement.ts';
import { modesAt, movesMost } from '../physics/vibration/modes.ts';
import { homePosture } from '../physics/dynamics/places.ts';
import type { Rig } from '../rig/rig.ts';
import { shapedJoints } from '../rig/wobble.ts';

export interface ComputedWobble extends Wobble {
  readonly from: 'computed';
  /** What mostly swings: components of the pose, joints. */
  readonly mostly: readonly string[];
  /** The stiffness of a servo in it is assumed from its stall torque. */
  readonly assumed: boolean;
}

/** Of a mechanism of screws, printed parts and hobby servos (a usual figure, not measured), give or take as much. */
const DAMPING = 0.05;
/** Shares of the frequency that it may be off by (ours): with measured stiffness, since parts bend too; with an assumed one. */
const [OFF_MEASURED, OFF_ASSUMED] = [0.1, 0.3];

/** A joint that moves by less than this share of the one that moves most has no part in a swing (ours). */
const PART = 0.1;

/** At home; or in words why there is none. */
export function computedWobble(rig: Rig): ComputedWobble | { readonly problem: string } {
  const { q, pose } = homePosture(rig);
  const found = modesAt(rig, q, pose);
  if (!found || found.modes.length === 0)
    return { problem: 'no swing can be calculated: masses or stall torques are unknown, or home is singular' };
  const shaped = shapedJoints(rig);
  const lowest = found.modes.find((mode) => movesMost(mode, shaped));
  if (!lowest) return { problem: 'no joint that a wobble cure is about swings: none carries a weight that is known' };
  if (lowest.hz === null) return { problem: 'the servos are too soft to hold the weight: no wobble cure helps that' };
  const swings = rig.joints.filter((_, i) => Math.abs(lowest.shape[i]!) > PART);
  const assumed = swings.some(({ name }) => found.assumed.includes(name));
  return {
    from: 'computed',
    hz: lowest.hz,
    hz_within: lowest.hz * (assumed ? OFF_ASSUMED : OFF_MEASURED),
    damping: DAMPING,
    damping_within: DAMPING,
    mostly: lowest.mostly,
    assumed,
  };
}
