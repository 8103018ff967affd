/** Places of an answer of `load` as places of the rig, to be drawn: coordinates of all joints, and the plate's pose. */
import type { PlaceAnswer } from '../../load/result.ts';
import { inverse } from '../../physics/kinematics/inverse.ts';
import { type Posture, postureAt } from '../../physics/dynamics/places.ts';
import { HOME, type Pose, type Rig, toRad } from '../../rig/rig.ts';
import type { StoredStream } from '../../stream/stored.ts';

const POSE = 6;

/** Joints that the place does not name stand at home; null: its legs do not reach. */
export function postureAtPlace(rig: Rig, { pose, joints }: PlaceAnswer): Posture | null {
  const legs = rig.platform ? inverse(rig.platform, pose ?? HOME) : [];
  if (legs === null) return null;
  const others = rig.joints.filter(({ kind }) => kind !== 'leg');
  const at = others.map(({ name, home }) => (joints[name] === undefined ? home : toRad(joints[name])));
  return { q: [...legs, ...at], pose: pose ?? HOME };
}

/** Where a stream asks the rig to be; null: its legs do not reach. */
export function postureAlong(rig: Rig, stream: StoredStream, t_s: number): Posture | null {
  const values = new Float64Array(stream.size);
  stream.evaluate(t_s, values);
  const others = rig.joints.filter(({ kind }) => kind !== 'leg');
  const at = others.map(({ home }, k) => (Number.isNaN(values[POSE + k]!) ? home : values[POSE + k]!));
  const pose = rig.platform ? ([...values.subarray(0, POSE)] as unknown as Pose) : HOME;
  return postureAt(rig, pose, at);
}
