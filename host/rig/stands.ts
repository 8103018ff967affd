/**
 * Whether the platform can stand at home and at rest: in reach of every leg, within its soft limits and its rod ends.
 * Legs with the same fault are told together.
 */
import { legCoordinate, legVector, rodEndTilts } from './legs.ts';
import type { Path, Say } from './problem.ts';
import { type Joint, type Platform, type Pose, HOME, toDeg, toShown } from './rig.ts';
import { LEGS } from './shape.ts';
import { short, together } from './words.ts';

/**
 * Checks home, then rest.
 * @param legs the leg joints, by leg; undefined where the file's entry is wrong in itself.
 */
export function checkStands(platform: Platform, legs: readonly (Joint | undefined)[], say: Say): void {
  const home: Path = ['platform', 'home_z_mm'];
  if (!checkStand(platform, legs, 'home', HOME, home, say)) return;
  if (platform.rest.some((value) => value !== 0))
    checkStand(platform, legs, 'rest', platform.rest, ['platform', 'rest'], say);
}

function checkStand(
  platform: Platform,
  legs: readonly (Joint | undefined)[],
  where: 'home' | 'rest',
  pose: Pose,
  path: Path,
  say: Say,
): boolean {
  const faults = new Map<string, string[]>();
  LEGS.forEach((name, i) => {
    const fault = legFault(platform, i, legs[i], pose);
    if (fault !== null) faults.set(fault, [...(faults.get(fault) ?? []), name]);
  });
  for (const [fault, names] of faults) say.error(path, `at ${where} ${together(names)}: ${fault}`);
  return faults.size === 0;
}

/** What keeps one leg from standing at the pose; null: nothing. */
function legFault(platform: Platform, i: number, joint: Joint | undefined, pose: Pose): string | null {
  const at = legCoordinate(platform, i, pose);
  if (at === null) return outOfReach(platform, i, pose);
  if (platform.stroke_mm && !(at >= platform.stroke_mm[0] && at <= platform.stroke_mm[1]))
    return `out of reach, ${short(at)} mm pin to pin; allowed: the stroke, ${platform.stroke_mm.map((mm) => short(mm)).join(' … ')} mm`;
  if (joint && !(at >= joint.lo && at <= joint.hi)) {
    const [shown, lo, hi] = [at, joint.lo, joint.hi].map((value) => short(toShown(joint, value)));
    return `outside the soft limits, at ${String(shown)} ${joint.unit}; allowed: ${String(lo)} … ${String(hi)} ${joint.unit}`;
  }
  if (platform.rod_end_rad === null) return null;
  const tilt = Math.max(...rodEndTilts(platform, i, pose, at));
  if (tilt <= platform.rod_end_rad) return null;
  return `a rod end would tilt by ${short(toDeg(tilt))} deg; allowed: up to rod_end_deg, ${short(toDeg(platform.rod_end_rad))} deg`;
}

function outOfReach(platform: Platform, i: number, pose: Pose): string {
  const l = legVector(platform, i, pose);
  if (l[2] <= 0)
    return `its joint on the moving plate is not above its joint on the base (${short(l[2])} mm); allowed: above 0 (to hang the platform, mount it upside down)`;
  const { crank_mm, rod_mm } = platform;
  return `out of reach, ${short(Math.hypot(...l))} mm from the crank’s axis to the moving plate; a crank of ${short(crank_mm, 2)} mm and a rod of ${short(rod_mm, 2)} mm do not meet there`;
}
