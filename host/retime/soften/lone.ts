/** The joints that carry nothing (lids, beak, ears): neither the platform nor another joint stands on them. */
import { fastest } from '../../physics/servo-line.ts';
import { type Bounds, boundsOf } from '../../physics/limits.ts';
import { type Joint, POSE_KEYS, type Rig } from '../../rig/rig.ts';

/** A joint that carries nothing, and what it must stay within; units of its coordinate, per s and per s². */
export interface Lone {
  readonly joint: Joint;
  /** Its number among the rig's joints, and its place in a stream's row of values. */
  readonly index: number;
  readonly place: number;
  readonly bounds: Bounds;
}

/** A servo has no torque left at its no-load speed: softened joints stay this far below it (ours). */
const OF_NO_LOAD = 0.98;

/** All of them, in the rig's order. */
export function loneJoints({ platform, joints }: Rig): Lone[] {
  const carriers = new Set([platform?.on, ...joints.map(({ axis }) => axis?.on)]);
  const legs = joints.filter(({ kind }) => kind === 'leg').length;
  return joints.flatMap((joint, index) => {
    if (joint.kind === 'leg' || carriers.has(joint.name)) return [];
    const bounds = boundsOf(joint);
    const speed = Math.min(bounds.speed, OF_NO_LOAD * (fastest(joint) ?? Infinity));
    return [{ joint, index, place: POSE_KEYS.length + index - legs, bounds: { ...bounds, speed } }];
  });
}
