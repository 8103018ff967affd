/**
 * Servos that hold with more than they may for long (continuous_use), though with less than they have: along a stream for a while,
 * at rest, or without a stream where holding takes most in the soft limits. Not what holds so where it is asked to stand: that is
 * a trouble (troubles.ts), since it stays there.
 */
import { restPosture } from '../physics/dynamics/places.ts';
import type { Demand } from './demand.ts';
import type { JointLoad, Warm } from './result.ts';

/** Shorter than this on end a servo gives much to move something, and is not said to hold it, s (ours). */
const HOLDS_S = 1;

/** Rounding of what stands exactly at the limit. */
const ALLOWED = 1 + 1e-9;

/** What each servo holds at rest, share of its stall torque; null: it is not known, or the prop stands or hangs there without it. */
export function restUses(demand: Demand): (number | null)[] {
  const { rig } = demand;
  const posture = rig.rest === 'powered' ? restPosture(rig) : null;
  if (!posture || !demand.hold(posture)) return rig.joints.map(() => null);
  return rig.joints.map((_, i) => (Number.isNaN(demand.share(i)) ? null : demand.share(i)));
}

/** The hottest of each kind first. */
export function warmOf(joints: readonly JointLoad[], rest: readonly (number | null)[], hasStream: boolean): Warm[] {
  const much = (share: number | null, { continuous_use }: JointLoad): share is number =>
    share !== null && share > continuous_use * ALLOWED && share <= 1;
  const found = joints.flatMap((joint, i): Warm[] => {
    const { name, along, worst, hold, hold_use } = joint;
    const at = (where: Warm['where'], share: number, for_s: number | null, from_s: number | null): Warm[] =>
      hold === null ? [] : [{ joint: name, where, share, for_s, from_s }];
    const hot = along?.hot;
    if (hot && hot.for_s >= HOLDS_S) return at('stream', hot.share, hot.for_s, hot.from_s);
    const resting = rest[i] ?? null;
    if (much(resting, joint)) return at('rest', resting, null, null);
    return !hasStream && !much(hold_use, joint) && much(worst.use, joint) ? at('limits', worst.use, null, null) : [];
  });
  const order: readonly Warm['where'][] = ['rest', 'stream', 'limits'];
  return found.sort((a, b) => order.indexOf(a.where) - order.indexOf(b.where) || b.share - a.share);
}
