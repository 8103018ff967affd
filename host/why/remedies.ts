/** Cures that the simulated metal can try: the rig as it would be with each. */
import { boundsOf } from '../physics/limits.ts';
import type { Rig } from '../rig/rig.ts';
import type { Facts } from './facts.ts';

/** Limits that the servos can keep; gears without play. */
export type Remedy = 'limits' | 'no_play';

const withLimits = ({ rig, joints }: Facts): Rig => ({
  ...rig,
  joints: rig.joints.map((joint, i) => {
    const { limits } = joints[i]!;
    return 'none' in limits ? joint : { ...joint, ...boundsOf(limits) };
  }),
});

const withoutPlay = ({ rig }: Facts): Rig => ({
  ...rig,
  joints: rig.joints.map((joint) => ({ ...joint, gear_play_rad: joint.gear_play_rad === null ? null : 0 })),
});

export const curedRig = (facts: Facts, remedy: Remedy): Rig =>
  remedy === 'limits' ? withLimits(facts) : withoutPlay(facts);
