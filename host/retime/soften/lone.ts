/** The joints that carry nothing (lids, beak, ears): see carriers.ts. */
import { fastest } from '../../physics/servo/servo-line.ts';
import { type Bounds, boundsOf } from '../../physics/servo/limits.ts';
import { carriersOf } from '../../rig/carriers.ts';
import { type Joint, POSE_KEYS, type Rig } from '../../rig/rig.ts';
import type { StoredStream } from '../../stream/stored.ts';

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
export function loneJoints(rig: Rig): Lone[] {
  const { joints } = rig;
  const carriers = carriersOf(rig);
  const legs = joints.filter(({ kind }) => kind === 'leg').length;
  return joints.flatMap((joint, index) => {
    if (joint.kind === 'leg' || carriers.has(joint.name)) return [];
    const bounds = boundsOf(joint);
    const speed = Math.min(bounds.speed, OF_NO_LOAD * (fastest(joint) ?? Infinity));
    return [{ joint, index, place: POSE_KEYS.length + index - legs, bounds: { ...bounds, speed } }];
  });
}

/** Whether anything but these joints moves along a stream: without that nobody minds when all of it is slowed. */
export function movesOther(stream: StoredStream, lone: readonly Lone[]): boolean {
  const places = new Set(lone.map(({ place }) => place));
  const first = stream.row(0);
  for (let f = 1; f < stream.count; f++)
    if (stream.row(f).some((value, k) => !places.has(k) && Math.abs(value - first[k]!) > 0)) return true;
  return false;
}
