/** Cures that the simulated metal can try: the rig as it is looked at before, and as it would be after. */
import { boundsOf } from '../physics/servo/limits.ts';
import type { Rig } from '../rig/rig.ts';
import { checkWobble } from '../rig/wobble.ts';
import { type Facts, swingOf } from './facts.ts';

/** Where the cures are sized that need a part, without a stop. */
export const WHICH_SERVO = '"posewright servo" says which would do';

/** Limits that the servos can keep; a wobble cure at the lowest frequency. */
export type Remedy = 'limits' | 'wobble';

export interface Trials {
  /** Null: the rig of the file, which was played already. */
  readonly before: Rig | null;
  readonly after: Rig;
}

function withLimits({ rig, joints }: Facts): Rig {
  const cured = rig.joints.map((joint, i) => {
    const { limits } = joints[i]!;
    return 'none' in limits ? joint : { ...joint, ...boundsOf(limits) };
  });
  return { ...rig, joints: cured };
}

/**
 * Damping ratio of servos' loops that swing, where none was measured (assumed: after a swing half of it is left, as of many a
 * prop that is seen to wobble). The plant's own assumption, loops that settle at once, would show no wobble to cure.
 */
export const SWINGING = 0.1;

function withWobbleCure(facts: Facts): Trials | null {
  const { rig } = facts;
  const hz = rig.motion.wobble.hz ?? swingOf(facts)?.hz ?? null;
  if (hz === null) return null;
  const damping = rig.motion.wobble.damping ?? SWINGING;
  const withWobble = (wobble: Rig['motion']['wobble']): Rig => ({ ...rig, motion: { ...rig.motion, wobble } });
  const after = withWobble({ cure: 'tolerant', hz, damping });
  const faults: string[] = [];
  checkWobble(after, { error: (_, message) => faults.push(message), warning: () => undefined });
  return faults.length > 0 ? null : { before: withWobble({ cure: 'none', hz, damping }), after };
}

/** Null: it cannot be tried on this rig. */
export const trialsFor = (facts: Facts, remedy: Remedy): Trials | null =>
  remedy === 'limits' ? { before: null, after: withLimits(facts) } : withWobbleCure(facts);
