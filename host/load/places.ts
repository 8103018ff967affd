/** Places of a rig for `load`: the one asked about, and how places read. */
import { inverse } from '../physics/kinematics/inverse.ts';
import type { Posture } from '../physics/dynamics/places.ts';
import { HOME, type Joint, type Pose, type Rig, toShown } from '../rig/rig.ts';
import type { PlaceAnswer } from './result.ts';

/** The legs at a pose, the others at home; null: the legs do not reach it. */
export function postureOf(rig: Rig, pose: Pose): Posture | null {
  const others = rig.joints.filter(({ kind }) => kind === 'axis').map(({ home }) => home);
  if (!rig.platform) return { q: others, pose: HOME };
  const legs = inverse(rig.platform, pose);
  return legs && { q: [...legs, ...others], pose };
}

/** @param of only what matters to this joint: itself, and joints that turn something in space; without: all. */
export function placeAnswer(rig: Rig, { q, pose }: Posture, of?: Joint): PlaceAnswer {
  const alone = of?.kind === 'axis' && of.axis === null;
  const matters = (joint: Joint): boolean => of === undefined || joint === of || (!alone && joint.axis !== null);
  const others = rig.joints.flatMap((joint, i) =>
    joint.kind === 'leg' || !matters(joint) ? [] : [[joint.name, toShown(joint, q[i]!)] as const],
  );
  return { pose: rig.platform && !alone ? pose : null, joints: Object.fromEntries(others) };
}
