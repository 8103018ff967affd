/**
 * Inverse kinematics of a whole platform, f64: the six leg coordinates at a pose, how far its rod ends tilt there, and what
 * stops the platform from standing there. Angles rad, lengths mm; poses as in rig.ts.
 */
import { angleAt } from '../../rig/legs.ts';
import type { Platform, Pose, Rig } from '../../rig/rig.ts';
import { rpyInto } from '../../rig/rotation.ts';
import { LEG_FIGURES, geometryOf } from './geometry.ts';

/** Coordinates of leg1 … leg6 at the pose, or null when a rod does not reach it or an actuator's stroke does not. */
export function inverse(platform: Platform, pose: Pose): Float64Array | null {
  const out = new Float64Array(6);
  return inverseInto(platform, pose, out) ? out : null;
}

const turn = new Float64Array(9);

/**
 * The same without an array of its own: retiming asks some ten million times.
 * @param pose six numbers; what comes after them is not looked at.
 * @param out receives the six coordinates; a leg that does not reach gets NaN.
 * @returns whether all six reach.
 */
export function inverseInto(platform: Platform, pose: ArrayLike<number>, out: Float64Array): boolean {
  const { pivot_mm: p, flat, level_mm } = geometryOf(platform);
  rpyInto(pose[3]!, pose[4]!, pose[5]!, turn);
  const { crank_mm } = platform;
  const isCrank = platform.drive === 'crank';
  const isOther = platform.branch === 'other';
  const x0 = p[0] + pose[0]!;
  const y0 = p[1] + pose[1]!;
  const z0 = p[2] + pose[2]!;
  let all = true;
  for (let i = 0, g = 0; i < 6; i++, g += LEG_FIGURES) {
    const a0 = flat[g + 3]!;
    const a1 = flat[g + 4]!;
    const a2 = flat[g + 5]!;
    const x = x0 + turn[0]! * a0 + turn[1]! * a1 + turn[2]! * a2 - flat[g]!;
    const y = y0 + turn[3]! * a0 + turn[4]! * a1 + turn[5]! * a2 - flat[g + 1]!;
    const z = z0 + turn[6]! * a0 + turn[7]! * a1 + turn[8]! * a2 - flat[g + 2]!;
    let coordinate: number;
    if (isCrank) {
      // In the crank's own frame its azimuth is 0.
      const along = x * flat[g + 6]! + y * flat[g + 7]! + z * flat[g + 8]!;
      const across = x * flat[g + 9]! + y * flat[g + 10]! + z * flat[g + 11]!;
      const up = x * flat[g + 12]! + y * flat[g + 13]! + z * flat[g + 14]!;
      coordinate = angleAt(crank_mm, level_mm, isOther, along, along * along + across * across, up);
    } else coordinate = lengthAt(platform, x, y, z);
    out[i] = coordinate;
    if (coordinate !== coordinate) all = false;
  }
  return all;
}

/** The actuator's length, mm; NaN: beyond its stroke. */
function lengthAt({ stroke_mm }: Platform, x: number, y: number, z: number): number {
  const length = Math.sqrt(x * x + y * y + z * z);
  const within = stroke_mm === null ? length < Infinity : length >= stroke_mm[0] && length <= stroke_mm[1];
  return within ? length : NaN;
}

/**
 * How far each rod end tilts away from square to its stud, rad, 0 to π/2: asin|rod·stud| (DEVELOPERS.md, "Frames"). The
 * coordinates and the pose must belong together; a linear platform's are all 0.
 * @param out 12 numbers: leg1 at the crank, leg1 at the moving plate, leg2 at the crank, …
 */
export function misalignmentInto(
  platform: Platform,
  coordinates: ArrayLike<number>,
  pose: ArrayLike<number>,
  out: Float64Array,
): void {
  tiltSinesInto(platform, coordinates, pose, out);
  for (let end = 0; end < 12; end++) out[end] = Math.asin(out[end]!);
}

/** The sines of the same angles, 0 to 1: what is only compared with a limit needs no arcsine. */
export function tiltSinesInto(
  platform: Platform,
  coordinates: ArrayLike<number>,
  pose: ArrayLike<number>,
  out: Float64Array,
): void {
  if (platform.drive === 'linear') {
    out.fill(0);
    return;
  }
  const { crank_mm, rod_mm } = platform;
  const { pivot_mm: p, flat } = geometryOf(platform);
  rpyInto(pose[3]!, pose[4]!, pose[5]!, turn);
  for (let i = 0, g = 0; i < 6; i++, g += LEG_FIGURES) {
    const angle = coordinates[i] ?? NaN;
    const c = crank_mm * Math.cos(angle);
    const s = crank_mm * Math.sin(angle);
    let onCrank = 0;
    let onPlate = 0;
    for (let k = 0; k < 3; k++) {
      const t0 = turn[3 * k]!;
      const t1 = turn[3 * k + 1]!;
      const t2 = turn[3 * k + 2]!;
      const end = p[k]! + pose[k]! + t0 * flat[g + 3]! + t1 * flat[g + 4]! + t2 * flat[g + 5]!;
      const rod = end - flat[g + k]! - c * flat[g + 6 + k]! - s * flat[g + 12 + k]!;
      onCrank += rod * flat[g + 9 + k]!;
      onPlate += rod * (t0 * flat[g + 9]! + t1 * flat[g + 10]! + t2 * flat[g + 11]!);
    }
    out[2 * i] = Math.min(1, Math.abs(onCrank) / rod_mm);
    out[2 * i + 1] = Math.min(1, Math.abs(onPlate) / rod_mm);
  }
}

/** Why a leg cannot go along: its rod too short or too long, its actuator's stroke, its soft limits, a rod end's tilt. */
export interface Stop {
  readonly joint: string;
  readonly cause: 'rod' | 'stroke' | 'limit' | 'rod_end';
}

const scratch = {
  coordinates: new Float64Array(6),
  tilts: new Float64Array(12),
};

/**
 * What stops the platform from standing at a pose: the first of rod (or stroke), limit, rod end; then the lowest leg.
 * Null: nothing. The rig must have a platform.
 */
export function whatStops(rig: Rig, pose: ArrayLike<number>): Stop | null {
  const platform = platformOf(rig);
  const { coordinates } = scratch;
  if (inverseInto(platform, pose, coordinates)) return whatStopsLegs(rig, coordinates, pose);
  const cause = platform.drive === 'crank' ? 'rod' : 'stroke';
  return stopAt(rig, cause, coordinates.findIndex(Number.isNaN));
}

/** The same for legs that are known to stand at these coordinates with the plate at this pose: limit, then rod end. */
export function whatStopsLegs(rig: Rig, coordinates: ArrayLike<number>, pose: ArrayLike<number>): Stop | null {
  const platform = platformOf(rig);
  for (let i = 0; i < 6; i++) {
    const joint = rig.joints[i];
    const at = coordinates[i] ?? NaN;
    if (!joint || !(at >= joint.lo && at <= joint.hi)) return stopAt(rig, 'limit', i);
  }
  const most_rad = platform.rod_end_rad;
  if (most_rad === null) return null;
  const { tilts } = scratch;
  misalignmentInto(platform, coordinates, pose, tilts);
  for (let end = 0; end < tilts.length; end++) if (!(tilts[end]! <= most_rad)) return stopAt(rig, 'rod_end', end >> 1);
  return null;
}

const stopAt = (rig: Rig, cause: Stop['cause'], i: number): Stop => ({
  joint: rig.joints[i]?.name ?? `leg${String(i + 1)}`,
  cause,
});

function platformOf(rig: Rig): Platform {
  if (!rig.platform) throw new Error(`rig ${rig.name} has no platform`);
  return rig.platform;
}
