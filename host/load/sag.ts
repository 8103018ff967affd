/**
 * How far the prop sags at rest: a servo without an integrating loop holds its load off its place by torque over stiffness.
 * Rods and plates are rigid; a dead band and dry friction, which let it stand anywhere nearby, come on top.
 */
import { ForwardSolver, type MutablePose } from '../physics/kinematics/forward.ts';
import type { Posture } from '../physics/dynamics/places.ts';
import { stiffnessOf } from '../physics/servo/stiffness.ts';
import { type Pose, type Rig, toShown } from '../rig/rig.ts';
import type { Demand } from './demand.ts';

export interface Sag {
  /** By joint in its shown unit, deg or mm, positive along its coordinate; null: its stiffness, or what it holds, is not known. */
  readonly joints: readonly (number | null)[];
  /** What the plate's pose comes to be off by, the legs alone: mm and rad; null: no platform, or not known. */
  readonly plate: Pose | null;
  /** Servo classes whose stiffness is assumed from their stall torque (physics/stiffness.ts). */
  readonly assumed: readonly string[];
}

/** Where it is asked to stand. @param known by joint: whether the file says what it holds. */
export function sagAt(demand: Demand, asked: Posture, known: readonly boolean[]): Sag {
  const { rig } = demand;
  demand.hold(asked);
  const by = rig.joints.map((joint, i) => {
    const stiffness = stiffnessOf(joint)?.stiffness ?? null;
    return stiffness === null || !known[i] ? null : -demand.effort[i]! / stiffness;
  });
  const assumed = rig.joints.filter((joint, i) => by[i] !== null && stiffnessOf(joint)?.assumed === true);
  return {
    joints: by.map((value, i) => (value === null ? null : toShown(rig.joints[i]!, value))),
    plate: plateSag(rig, asked, by),
    assumed: [...new Set(assumed.map(({ servo }) => servo.name))],
  };
}

function plateSag({ platform }: Rig, { q, pose }: Posture, by: readonly (number | null)[]): Pose | null {
  const legs = by.slice(0, 6);
  if (!platform || legs.includes(null)) return null;
  const there: MutablePose = [...pose];
  const sagged = legs.map((off, i) => q[i]! + (off ?? 0));
  if (!new ForwardSolver(platform).solve(sagged, pose, there)) return null;
  return there.map((value, k) => value - pose[k]!) as unknown as Pose;
}
