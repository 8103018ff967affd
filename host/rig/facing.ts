/**
 * Plates that do not face each other: at home, whose legs lean all one way, run side by side, cross, or hold nothing against yaw.
 * Such a rig may move, but far worse than it could, and most often an angle was read off the wrong pair. Advice, never an error.
 */
import { legCoordinate, movingPoint } from './legs.ts';
import type { Path, Say } from './problem.ts';
import { type Platform, type Vec3, HOME, toDeg } from './rig.ts';
import { add, cross, dot, sub } from './rotation.ts';
import { LEGS } from './shape.ts';
import { short, together } from './words.ts';

/** A turn between the plates that is no slip of the ruler (ours). */
const TURNED_DEG = 20;
/** Neighbours nearer than three quarters of the even 60 deg are a close pair (ours). */
const CLOSE_DEG = 45;
/** Rods have at least this thickness (usual, not measured). */
const ROD_MM = 4;
/** Share of the plate's radius at which a leg's hold on yaw is too little: some 7 deg between joint and foot (ours). */
const LEAST_LEVER = 0.12;

/** Tells the first of these faults that the platform has; they come together. */
export function adviseFacing(platform: Platform, say: Say): void {
  const fault = turned(platform) ?? sideBySide(platform) ?? crossing(platform) ?? noHold(platform);
  if (fault) say.warning(['platform', ...fault.path], fault.message);
}

interface Fault {
  readonly path: Path;
  readonly message: string;
}

type Point = readonly [x: number, y: number];

/** The joints of a plate seen from above, about their middle. */
function flat(points: readonly Vec3[]): Point[] {
  const middle = (k: 0 | 1): number => points.reduce((sum, point) => sum + point[k], 0) / points.length;
  const [x, y] = [middle(0), middle(1)];
  return points.map((point) => [point[0] - x, point[1] - y]);
}

const plates = ({ legs }: Platform): { base: Point[]; moving: Point[] } => ({
  base: flat(legs.map(({ base_mm }) => base_mm)),
  moving: flat(legs.map(({ moving_mm }) => moving_mm)),
});

/**
 * How the moving plate's joints stand against the base's, leg by leg: the turn that brings them nearest, rad (least squares in the plane:
 * the argument of Σ b̄·m, points as complex numbers), and whether a mirrored base would come nearer.
 */
export function turnOf(platform: Platform): { turn_rad: number; mirrored: boolean } {
  const { base, moving } = plates(platform);
  const sum = (part: (b: Point, m: Point) => number): number =>
    base.reduce((total, b, i) => total + part(b, moving[i] ?? [0, 0]), 0);
  const along = sum((b, m) => b[0] * m[0] + b[1] * m[1]);
  const around = sum((b, m) => b[0] * m[1] - b[1] * m[0]);
  const mirror = Math.hypot(
    sum((b, m) => b[0] * m[0] - b[1] * m[1]),
    sum((b, m) => b[0] * m[1] + b[1] * m[0]),
  );
  return { turn_rad: Math.atan2(around, along), mirrored: mirror > Math.hypot(around, along) };
}

function turned(platform: Platform): Fault | null {
  const { turn_rad, mirrored } = turnOf(platform);
  const path = ['moving'];
  if (mirrored)
    return {
      path,
      message:
        'its joints are numbered the other way round than the base’s: the legs cross; write both from leg1 to leg6, against the clock seen from above (from x toward y)',
    };
  const deg = toDeg(turn_rad);
  if (!(Math.abs(deg) > TURNED_DEG)) return null;
  return {
    path,
    message: `its joints stand turned by ${short(deg)} deg against the base’s, leg by leg: all legs lean the same way round. Was it measured from another joint, or does its list begin with another leg? Turn it by ${short(-deg)} deg about z`,
  };
}

/** Azimuth of each joint, rad. */
const azimuths = (points: readonly Point[]): number[] => points.map(([x, y]) => Math.atan2(y, x));

/** Neighbours round the plate that are close, as their two legs in order of number, and how far apart they are, rad. */
function closePairs(points: readonly Point[]): Map<string, number> {
  const around = azimuths(points)
    .map((at, leg) => ({ at, leg }))
    .sort((a, b) => a.at - b.at);
  const pairs = around.map(({ at, leg }, i) => {
    const next = around[(i + 1) % around.length] ?? { at, leg };
    const gap = (next.at - at + 2 * Math.PI) % (2 * Math.PI);
    return [[leg, next.leg].sort((a, b) => a - b).join(), gap] as const;
  });
  return new Map(pairs.filter(([, gap]) => toDeg(gap) < CLOSE_DEG));
}

/** Both legs of a close pair of the base lead to a close pair of the moving plate. */
function sideBySide(platform: Platform): Fault | null {
  const { base, moving } = plates(platform);
  const [below, above] = [closePairs(base), closePairs(moving)];
  const both = [...below.keys()].filter((pair) => above.has(pair)).sort();
  if (both.length < 2) return null;
  const gap = (of: Map<string, number>): number =>
    toDeg(both.reduce((sum, pair) => sum + (of.get(pair) ?? 0), 0) / both.length);
  const names = both.map((pair) => together(pair.split(',').map((leg) => LEGS[Number(leg)] ?? '')));
  // Legs 1 and 2 are one pair of the file: else its half angles are above 30 deg on both plates.
  const narrow = both.includes('0,1');
  const half_deg = narrow ? gap(above) / 2 : 60 - gap(below) / 2;
  const plate = narrow ? 'moving' : 'base';
  return {
    path: [plate],
    message: `${names.join(', ')} are close together on both plates: they run side by side, and hold little against turning and swaying, so that yaw travels far and is weak. Close pairs of one plate belong over the gaps of the other. Was the half angle measured on the wrong pair? Found ${short(half_deg)} deg; likely meant: half_angle_deg: ${short(60 - half_deg)}`,
  };
}

/** A leg at home, base frame: its foot (the crank's tip, or the lower pin) and where it goes from there, mm. */
interface Rod {
  readonly foot: Vec3;
  readonly along: Vec3;
}

/** null: out of reach. */
function rodOf(platform: Platform, i: number): Rod | null {
  const leg = platform.legs[i];
  const at = leg ? legCoordinate(platform, i, HOME) : null;
  if (!leg || at === null) return null;
  const out = platform.drive === 'crank' ? platform.crank_mm : 0;
  const level = out * Math.cos(at);
  const tip: Vec3 = [level * Math.cos(leg.azimuth_rad), level * Math.sin(leg.azimuth_rad), out * Math.sin(at)];
  const foot = add(leg.base_mm, tip);
  return { foot, along: sub(movingPoint(platform, i, HOME), foot) };
}

/** Nearer to its ends than this share of a rod, rods may meet: in one joint. */
const END_SHARE = 0.03;

/**
 * How near two legs pass each other between their ends at home, mm; Infinity: they do not pass. The common perpendicular of two lines:
 * n = u × v, at s = (w × v)·n / n², t = (w × u)·n / n², w from the first foot to the second, |w·n| / |n| apart.
 */
export const passing_mm = (platform: Platform, i: number, j: number): number =>
  passingOf(rodOf(platform, i), rodOf(platform, j));

function passingOf(a: Rod | null, b: Rod | null): number {
  if (!a || !b) return Infinity;
  const n = cross(a.along, b.along);
  const square = dot(n, n);
  const w = sub(b.foot, a.foot);
  const inside = (along: Vec3): boolean => {
    const share = dot(cross(w, along), n) / square;
    return share > END_SHARE && share < 1 - END_SHARE;
  };
  return inside(b.along) && inside(a.along) ? Math.abs(dot(w, n)) / Math.sqrt(square) : Infinity;
}

function crossing(platform: Platform): Fault | null {
  const rods = LEGS.map((_, i) => rodOf(platform, i));
  const all = LEGS.flatMap((_, i) => LEGS.slice(i + 1).map((__, k) => [i, i + 1 + k] as const));
  const met = all.filter(([i, j]) => passingOf(rods[i] ?? null, rods[j] ?? null) < ROD_MM);
  if (met.length === 0) return null;
  const names = met.map((pair) => together(pair.map((leg) => LEGS[leg] ?? '')));
  const isCrank = platform.drive === 'crank';
  return {
    path: [isCrank ? 'crank_azimuth_deg' : 'moving'],
    message: `at home ${names.join(', ')} cross, nearer than ${short(ROD_MM)} mm: their rods would touch. ${isCrank ? crankCure(platform) : 'Legs of a pair must not change sides: check which half angle is whose'}`,
  };
}

/** Cranks that reach past the middle of their pair cross its rods. */
function crankCure({ legs, crank_mm }: Platform): string {
  const [x = NaN, y = NaN] = legs[0]?.base_mm ?? [];
  const [toX = NaN, toY = NaN] = legs[1]?.base_mm ?? [];
  const apart_mm = Math.hypot(toX - x, toY - y);
  const radius_mm = Math.hypot(x, y);
  const least = crank_mm < radius_mm ? toDeg(Math.asin(crank_mm / radius_mm)) : NaN;
  const room =
    apart_mm < 2 * crank_mm && least < 60
      ? `, or with inward cranks a half angle of the base above ${short(least)} deg`
      : '';
  return `Likely meant: crank_azimuth_deg: outward${room}`;
}

/** Length that a leg changes by for a radian of yaw at home, mm: the z part of moving joint × leg, of length 1. */
export function yawLever_mm(platform: Platform, i: number): number {
  const rod = rodOf(platform, i);
  if (!rod) return NaN;
  const joint = movingPoint(platform, i, HOME);
  return cross(joint, rod.along)[2] / Math.hypot(...rod.along);
}

function noHold(platform: Platform): Fault | null {
  const levers = LEGS.map((_, i) => Math.abs(yawLever_mm(platform, i)));
  const mean_mm = levers.reduce((sum, lever) => sum + lever, 0) / levers.length;
  const { base, moving } = plates(platform);
  const radius_mm = moving.reduce((sum, point) => sum + Math.hypot(...point), 0) / moving.length;
  if (!(mean_mm < LEAST_LEVER * radius_mm)) return null;
  const half_deg = Math.min(toDeg(azimuths(base)[1] ?? NaN), 30);
  const meant = half_deg > 0 && half_deg < 28 ? `: on the moving plate half_angle_deg: ${short(60 - half_deg)}` : '';
  return {
    path: ['moving'],
    message: `at home a degree of yaw changes the legs by ${short((mean_mm * Math.PI) / 180, 2)} mm only: nothing holds the plate against turning. Make the half angles of the plates differ by 20 to 40 deg (usual, not measured)${meant}`,
  };
}
