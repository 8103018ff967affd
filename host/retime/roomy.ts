/**
 * A rig drawn a little narrower than it is, so that a pose that fits it fits the rig with something to spare: for rounding,
 * for what lies between two frames, and for legs near their dead centre, where a small motion of the plate is a long way for
 * the crank.
 */
import { dotAt } from '../physics/dynamics/flat.ts';
import { LEG_FIGURES, geometryOf, rodInto } from '../physics/kinematics/geometry.ts';
import { inverseInto, whatStopsLegs } from '../physics/kinematics/inverse.ts';
import { type Joint, type Rig, toRad } from '../rig/rig.ts';
import { rpyInto } from '../rig/rotation.ts';

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
const turn = new Float64Array(9);
const rod = new Float64Array(3);

/** Whether a platform of a roomy rig stands at a pose (the first six of the row) with something to spare. */
export function fitsRow(rig: Rig, row: PoseRow): boolean {
  const { platform } = rig;
  if (!platform) return true;
  if (!inverseInto(platform, row, legs) || whatStopsLegs(rig, legs, row)) return false;
  if (platform.drive === 'linear') return true;
  const geometry = geometryOf(platform);
  const { flat } = geometry;
  rpyInto(row[3]!, row[4]!, row[5]!, turn);
  for (let i = 0, u = 6; i < 6; i++, u += LEG_FIGURES) {
    rodInto(platform, geometry, i, legs[i]!, row, turn, rod);
    const across = dotAt(rod, 0, flat, u + 6) * Math.cos(legs[i]!) - dotAt(rod, 0, flat, u) * Math.sin(legs[i]!);
    if (!(Math.abs(across) >= LEAST_SINE * platform.rod_mm)) return false;
  }
  return true;
}
