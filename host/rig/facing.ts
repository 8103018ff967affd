/**
 * Plates that do not face each other: at home, whose legs lean all one way, run side by side, cross, or hold nothing against yaw.
 * Such a rig may move, but far worse than it could, and most often an angle was read off the wrong pair. Advice, never an error.
 */
import { coordinateAt, movingOf } from './legs.ts';
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
  const fault = faultOf(platform);
  if (fault) say.warning(['platform', ...fault.path], fault.words());
}

/** Whether it has none of them. A design search asks a hundred thousand times a minute, so that words are made only to be read. */
export const faceWell = (platform: Platform): boolean => faultOf(platform) === null;

interface Fault {
  readonly path: Path;
  readonly words: () => string;
}

function faultOf(platform: Platform): Fault | null {
  const plates = platesOf(platform);
  const fault = turned(plates) ?? sideBySide(plates);
  if (fault) return fault;
  const rods = rodsOf(platform);
  return crossing(platform, rods) ?? noHold(plates, rods);
}

type Point = readonly [x: number, y: number];

/** The joints of both plates seen from above, each about their middle. */
interface Plates {
  readonly base: readonly Point[];
  readonly moving: readonly Point[];
}

function flat(points: readonly Vec3[]): Point[] {
  const middle = (k: 0 | 1): number => points.reduce((sum, point) => sum + point[k], 0) / points.length;
  const [x, y] = [middle(0), middle(1)];
  return points.map((point) => [point[0] - x, point[1] - y]);
}

const platesOf = ({ legs }: Platform): Plates => ({
  base: flat(legs.map(({ base_mm }) => base_mm)),
  moving: flat(legs.map(({ moving_mm }) => moving_mm)),
});

/**
 * How the moving plate's joints stand against the base's, leg by leg: the turn that brings them nearest, rad (least squares in the plane:
 * the argument of Σ b̄·m, points as complex numbers), and whether a mirrored base would come nearer.
 */
export const turnOf = (platform: Platform): { turn_rad: number; mirrored: boolean } => turnBetween(platesOf(platform));

function turnBetween({ base, moving }: Plates): { turn_rad: number; mirrored: boolean } {
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

function turned(plates: Plates): Fault | null {
  const { turn_rad, mirrored } = turnBetween(plates);
  const path = ['moving'];
  if (mirrored)
    return {
      path,
      words: () =>
        'its joints are numbered the other way round than the base’s: the legs cross; write both from leg1 to leg6, against the clock seen from above (from x toward y)',
    };
  const deg = toDeg(turn_rad);
  if (!(Math.abs(deg) > TURNED_DEG)) return null;
  return {
    path,
    words: () =>
      `its joints stand turned by ${short(deg)} deg against the base’s, leg by leg: all legs lean the same way round. Was it measured from another joint, or does its list begin with another leg? Turn it by ${short(-deg)} deg about z`,
  };
}

/** Azimuth of each joint, rad. */
const azimuths = (points: readonly Point[]): number[] => points.map(([x, y]) => Math.atan2(y, x));

/** Two legs as one number, whichever is named first. */
const pairOf = (a: number, b: number): number => (a < b ? a * LEGS.length + b : b * LEGS.length + a);
const pairWords = (pair: number): string =>
  together([LEGS[Math.floor(pair / LEGS.length)] ?? '', LEGS[pair % LEGS.length] ?? '']);

/** Neighbours round the plate that are close, as pairs of legs, and how far apart they are, rad. */
function closePairs(points: readonly Point[]): Map<number, number> {
  const at = azimuths(points);
  const around = at.map((_, leg) => leg).sort((a, b) => at[a]! - at[b]!);
  const close = new Map<number, number>();
  around.forEach((leg, i) => {
    const next = around[(i + 1) % around.length]!;
    const gap = (at[next]! - at[leg]! + 2 * Math.PI) % (2 * Math.PI);
    if (toDeg(gap) < CLOSE_DEG) close.set(pairOf(leg, next), gap);
  });
  return close;
}

/** Both legs of a close pair of the base lead to a close pair of the moving plate. */
function sideBySide({ base, moving }: Plates): Fault | null {
  const [below, above] = [closePairs(base), closePairs(moving)];
  const both = [...below.keys()].filter((pair) => above.has(pair)).sort((a, b) => a - b);
  if (both.length < 2) return null;
  // Legs 1 and 2 are one pair of the file: else its half angles are above 30 deg on both plates.
  const narrow = both.includes(pairOf(0, 1));
  const gap = (of: Map<number, number>): number =>
    toDeg(both.reduce((sum, pair) => sum + (of.get(pair) ?? 0), 0) / both.length);
  return {
    path: [narrow ? 'moving' : 'base'],
    words: () => {
      const half_deg = narrow ? gap(above) / 2 : 60 - gap(below) / 2;
      return `${both.map(pairWords).join(', ')} are close together on both plates: they run side by side, and hold little against turning and swaying, so that yaw travels far and is weak. Close pairs of one plate belong over the gaps of the other. Was the half angle measured on the wrong pair? Found ${short(half_deg)} deg; likely meant: half_angle_deg: ${short(60 - half_deg)}`;
    },
  };
}

/** A leg at home, base frame: its foot (the crank's tip, or the lower pin), its moving joint, and from the first to the second, mm. */
interface Rod {
  readonly foot: Vec3;
  readonly end: Vec3;
  readonly along: Vec3;
}
type Rods = readonly (Rod | null)[];

/** null: out of reach. */
function rodsOf(platform: Platform): Rods {
  const endOf = movingOf(platform, HOME);
  const out = platform.drive === 'crank' ? platform.crank_mm : 0;
  return platform.legs.map((leg) => {
    const { base_mm, azimuth_rad } = leg;
    const end = endOf(leg);
    const at = coordinateAt(platform, azimuth_rad, sub(end, base_mm));
    if (at === null) return null;
    const level = out * Math.cos(at);
    const foot = add(base_mm, [level * Math.cos(azimuth_rad), level * Math.sin(azimuth_rad), out * Math.sin(at)]);
    return { foot, end, along: sub(end, foot) };
  });
}

/** Nearer to its ends than this share of a rod, rods may meet: in one joint. */
const END_SHARE = 0.03;

/**
 * How near two legs pass each other between their ends at home, mm; Infinity: they do not pass. The common perpendicular of two lines:
 * n = u × v, at s = (w × v)·n / n², t = (w × u)·n / n², w from the first foot to the second, |w·n| / |n| apart.
 */
export function passing_mm(platform: Platform, i: number, j: number): number {
  const rods = rodsOf(platform);
  return passingOf(rods[i], rods[j]);
}

function passingOf(a: Rod | null | undefined, b: Rod | null | undefined): number {
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

/** Any two legs. */
const PAIRS = LEGS.flatMap((_, i) => LEGS.slice(i + 1).map((__, k) => [i, i + 1 + k] as const));

function crossing(platform: Platform, rods: Rods): Fault | null {
  const met = PAIRS.filter(([i, j]) => passingOf(rods[i], rods[j]) < ROD_MM);
  if (met.length === 0) return null;
  const isCrank = platform.drive === 'crank';
  return {
    path: [isCrank ? 'crank_azimuth_deg' : 'moving'],
    words: () =>
      `at home ${met.map(([i, j]) => pairWords(pairOf(i, j))).join(', ')} cross, nearer than ${short(ROD_MM)} mm: their rods would touch. ${isCrank ? crankCure(platform) : 'Legs of a pair must not change sides: check which half angle is whose'}`,
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
export const yawLever_mm = (platform: Platform, i: number): number => leverOf(rodsOf(platform)[i]);

const leverOf = (rod: Rod | null | undefined): number =>
  rod ? cross(rod.end, rod.along)[2] / Math.hypot(...rod.along) : NaN;

function noHold({ base, moving }: Plates, rods: Rods): Fault | null {
  const mean_mm = rods.reduce((sum, rod) => sum + Math.abs(leverOf(rod)), 0) / rods.length;
  const radius_mm = moving.reduce((sum, point) => sum + Math.hypot(...point), 0) / moving.length;
  if (!(mean_mm < LEAST_LEVER * radius_mm)) return null;
  return {
    path: ['moving'],
    words: () => {
      const half_deg = Math.min(toDeg(azimuths(base)[1] ?? NaN), 30);
      const meant =
        half_deg > 0 && half_deg < 28 ? `: on the moving plate half_angle_deg: ${short(60 - half_deg)}` : '';
      return `at home a degree of yaw changes the legs by ${short((mean_mm * Math.PI) / 180, 2)} mm only: nothing holds the plate against turning. Make the half angles of the plates differ by 20 to 40 deg (usual, not measured)${meant}`;
    },
  };
}
