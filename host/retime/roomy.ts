/**
 * A rig drawn a little narrower than it is, so that a pose that fits it fits the rig with something to spare: for rounding,
 * for what lies between two frames, and for legs near their dead centre, where a small motion of the plate is a long way for
 * the crank.
 */
import { endOf, geometryOf, startOf } from '../physics/geometry.ts';
import { inverseInto, whatStopsLegs } from '../physics/inverse.ts';
import { type Joint, type Pose, type Rig, toRad } from '../rig/rig.ts';
import { dot, rpyMatrix, sub } from '../rig/rotation.ts';

export type PoseRow = Float64Array;

/** Spared at each soft limit (deg or mm) and at a rod end. */
const LIMIT_SPARED = 0.05;
const ROD_END_SPARED_RAD = toRad(0.1);
/** Least sine of the angle between crank and rod: below a quarter the crank has four times as far to go (ours). */
const LEAST_SINE = 0.25;

/** The same rig with narrower soft limits and stiffer rod ends. */
export function roomy(rig: Rig): Rig {
  const { platform } = rig;
  const narrower = (joint: Joint): Joint => {
    const spared = Math.min(joint.unit === 'deg' ? toRad(LIMIT_SPARED) : LIMIT_SPARED, (joint.hi - joint.lo) / 4);
    return { ...joint, lo: joint.lo + spared, hi: joint.hi - spared };
  };
  const rod_end_rad = platform?.rod_end_rad == null ? null : platform.rod_end_rad - ROD_END_SPARED_RAD;
  return {
    ...rig,
    joints: rig.joints.map((joint) => (joint.kind === 'leg' ? narrower(joint) : joint)),
    platform: platform && { ...platform, rod_end_rad },
  };
}

const legs = new Float64Array(6);

/** Whether a platform of a roomy rig stands at a pose (the first six of the row) with something to spare. */
export function fitsRow(rig: Rig, row: PoseRow): boolean {
  const { platform } = rig;
  if (!platform) return true;
  const pose: Pose = [row[0]!, row[1]!, row[2]!, row[3]!, row[4]!, row[5]!];
  if (!inverseInto(platform, pose, legs) || whatStopsLegs(rig, legs, pose)) return false;
  if (platform.drive === 'linear') return true;
  const geometry = geometryOf(platform);
  const turn = rpyMatrix([pose[3], pose[4], pose[5]]);
  return geometry.legs.every((leg, i) => {
    const rod = sub(endOf(geometry, leg, pose, turn), startOf(platform, leg, legs[i]!));
    const across = dot(rod, leg.k) * Math.cos(legs[i]!) - dot(rod, leg.u) * Math.sin(legs[i]!);
    return Math.abs(across) >= LEAST_SINE * platform.rod_mm;
  });
}
