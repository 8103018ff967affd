/**
 * How much room everything that can stop a platform leaves at a pose, as figures that change smoothly along a motion, so
 * that a search can tell from a few poses what lies between them. What stops a pose is whatStops' business (inverse.ts).
 */
import type { Platform, Pose, Rig } from '../../rig/rig.ts';
import { type Mat3, dot, mulVec, rpyMatrix, sub } from '../../rig/rotation.ts';
import { type LegGeometry, endOf, geometryOf, startOf } from './geometry.ts';
import { inverseInto } from './inverse.ts';

/** Margins of a leg: reach (two), soft limits (two), rod ends (two). */
const PER_LEG = 6;
/** How many margins there are. */
export const MARGINS = 6 * PER_LEG;
/** Of what cannot stop this rig, or cannot be told because the leg does not reach. */
const ROOM = 1;

const scratch = new Float64Array(6);

/**
 * Fills the margins of a rig with a platform, leg by leg. Each is above 0 while its stop leaves room, and 0 where it stops:
 * a crank's reach, D/rod² with the D of legs.ts; the height of its moving joint over its base joint, by the rod; an
 * actuator's stroke below and above, by its length; the soft limits below and above, in rad or mm; and for each rod end
 * sin²(allowed) - (rod·stud)².
 * @param out receives `MARGINS` numbers; all finite when the pose is.
 */
export function marginsInto(rig: Rig, pose: Pose, out: Float64Array): void {
  const { platform } = rig;
  if (!platform) throw new Error(`rig ${rig.name} has no platform`);
  out.fill(ROOM);
  inverseInto(platform, pose, scratch);
  const turn = rpyMatrix([pose[3], pose[4], pose[5]]);
  for (let i = 0; i < 6; i++) {
    const at = scratch[i]!;
    reachMargins(platform, i, pose, turn, out);
    if (Number.isNaN(at)) continue;
    const joint = rig.joints[i];
    out[PER_LEG * i + 2] = at - (joint?.lo ?? NaN);
    out[PER_LEG * i + 3] = (joint?.hi ?? NaN) - at;
    if (platform.rod_end_rad !== null) endMargins(platform, i, at, pose, turn, out);
  }
}

function reachMargins(platform: Platform, i: number, pose: Pose, turn: Mat3, out: Float64Array): void {
  const geometry = geometryOf(platform);
  const leg = geometry.legs[i]!;
  const l = sub(endOf(geometry, leg, pose, turn), leg.base_mm);
  const square = dot(l, l);
  if (platform.stroke_mm) {
    const [shortest, longest] = platform.stroke_mm;
    const length = Math.sqrt(square);
    out[PER_LEG * i] = length / longest - shortest / longest;
    out[PER_LEG * i + 1] = 1 - length / longest;
    return;
  }
  const { crank_mm: a, rod_mm: s } = platform;
  const L = (square - (s - a) * (s + a)) / (2 * a);
  const N = dot(l, leg.u);
  const z = dot(l, leg.k);
  out[PER_LEG * i] = (N * N + (z - L) * (z + L)) / (s * s);
  out[PER_LEG * i + 1] = z / s;
}

function endMargins(platform: Platform, i: number, at: number, pose: Pose, turn: Mat3, out: Float64Array): void {
  const geometry = geometryOf(platform);
  const leg: LegGeometry = geometry.legs[i]!;
  const rod = sub(endOf(geometry, leg, pose, turn), startOf(platform, leg, at));
  const most = Math.sin(platform.rod_end_rad ?? NaN) ** 2;
  out[PER_LEG * i + 4] = most - (dot(rod, leg.stud) / platform.rod_mm) ** 2;
  out[PER_LEG * i + 5] = most - (dot(rod, mulVec(turn, leg.stud)) / platform.rod_mm) ** 2;
}
