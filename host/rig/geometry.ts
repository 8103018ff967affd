/**
 * The platform of the file as geometry: plates to points, crank azimuths, the height of home, the pose of rest. Whether it
 * can stand at home and at rest is checked in stands.ts.
 */
import { type Leg, type Platform, type Vec3, HOME, toRad } from './rig.ts';
import { givenClearance } from './clearance.ts';
import { crankAngle, legVector } from './legs.ts';
import { PAIRS_DEG } from './plates.ts';
import type { Say } from './problem.ts';
import { cross, sub } from './rotation.ts';
import type { PlateFile, PlatformFile } from './schema.ts';
import type { Sources } from './sources.ts';
import { short } from './words.ts';

const radians = ([x, y, z]: Vec3): Vec3 => [toRad(x), toRad(y), toRad(z)];

/** Null when there is no height for home; then it has been said. */
export function buildPlatform(file: PlatformFile, sources: Sources, say: Say): Platform | null {
  const { drive, rest } = file;
  const platform: Platform = {
    drive,
    on: file.on === 'ground' ? null : file.on,
    mounted: file.mount !== undefined,
    mount: { at_mm: file.mount?.at_mm ?? [0, 0, 0], rpy_rad: radians(file.mount?.rpy_deg ?? [0, 0, 0]) },
    legs: legs(file, sources),
    crank_mm: drive === 'crank' ? sources.must('platform.crank_mm', file.crank_mm) : 0,
    rod_mm: drive === 'crank' ? sources.must('platform.rod_mm', file.rod_mm) : 0,
    crank_kg: drive === 'crank' ? sources.take('platform.crank_kg', file.crank_kg) : null,
    rod_kg: drive === 'crank' ? sources.take('platform.rod_kg', file.rod_kg) : null,
    branch: drive === 'crank' ? file.branch : 'near',
    stroke_mm: drive === 'linear' ? file.stroke_mm : null,
    rod_end_rad:
      drive === 'crank' && file.rod_end_deg !== undefined
        ? toRad(sources.must('platform.rod_end_deg', file.rod_end_deg))
        : null,
    home_z_mm: file.home_z_mm === 'level' ? NaN : file.home_z_mm,
    pivot_mm: file.pivot_mm,
    rest: [rest.x_mm, rest.y_mm, rest.z_mm, ...radians([rest.roll_deg, rest.pitch_deg, rest.yaw_deg])],
    ...(file.clearance ? { clearance: givenClearance(file.clearance) } : {}),
  };
  const flat = (['base', 'moving'] as const).filter(
    (plate) => !isSpread(platform.legs.map((leg) => leg[`${plate}_mm`])),
  );
  for (const plate of flat)
    say.error(
      ['platform', plate],
      `found six joints in one place or on one line; allowed: points that span a triangle, ${String(LEAST_SPAN_MM)} mm or more each way, or nothing holds the plate against turning`,
    );
  if (flat.length > 0) return null;
  if (drive === 'crank' && platform.rod_mm <= platform.crank_mm) {
    say.error(
      ['platform', 'rod_mm'],
      `found ${short(platform.rod_mm, 2)}; allowed: longer than the crank, ${short(platform.crank_mm, 2)} mm`,
    );
    return null;
  }
  if (file.home_z_mm !== 'level') return platform;
  const home_z_mm = levelHome(platform);
  if (home_z_mm !== null) return { ...platform, home_z_mm };
  say.error(
    ['platform', 'home_z_mm'],
    'found level, but there is no height at which the cranks stand level on average; allowed: a height in mm that the rods reach, or longer rods, or plates of more equal size',
  );
  return null;
}

/** Nearer than this joints are in one place: a rod end alone is wider (ours). */
const LEAST_SPAN_MM = 2;

/** Whether the joints of a plate lie apart, and not on one line. */
function isSpread(points: readonly Vec3[]): boolean {
  const [first = [NaN, NaN, NaN]] = points;
  const away = points.map((point) => sub(point, first));
  const longest = away.reduce((a, b) => (Math.hypot(...b) > Math.hypot(...a) ? b : a));
  const length_mm = Math.hypot(...longest);
  const off_mm = Math.max(...away.map((arm) => Math.hypot(...cross(arm, longest)) / length_mm));
  return length_mm >= LEAST_SPAN_MM && off_mm >= LEAST_SPAN_MM;
}

function legs(file: PlatformFile, sources: Sources): Leg[] {
  const base = points(file.base, 'platform.base', sources);
  const moving = points(file.moving, 'platform.moving', sources);
  return base.map((base_mm, i) => ({
    base_mm,
    moving_mm: moving[i] ?? [NaN, NaN, NaN],
    azimuth_rad: toRad(azimuthDeg(file, i)),
  }));
}

/** The joints of a plate: as measured, or at the pair's azimuth minus, then plus the half angle. */
function points(plate: PlateFile, path: string, sources: Sources): readonly Vec3[] {
  if (plate.points_mm) return plate.points_mm;
  const radius_mm = sources.take(`${path}.radius_mm`, plate.radius_mm) ?? NaN;
  const half_deg = sources.take(`${path}.half_angle_deg`, plate.half_angle_deg) ?? NaN;
  return PAIRS_DEG.flatMap((pair_deg) =>
    [pair_deg - half_deg, pair_deg + half_deg].map((deg): Vec3 => [
      radius_mm * Math.cos(toRad(deg)),
      radius_mm * Math.sin(toRad(deg)),
      0,
    ]),
  );
}

function azimuthDeg(file: PlatformFile, i: number): number {
  if (file.drive === 'linear') return 0;
  const { crank_azimuth_deg: azimuth } = file;
  if (typeof azimuth === 'object') return azimuth[i] ?? NaN;
  const side = i % 2 === 0 ? -90 : 90;
  return (PAIRS_DEG[i >> 1] ?? NaN) + (azimuth === 'outward' ? side : -side);
}

const STEPS = 1024;

/**
 * The highest home_z_mm at which the mean crank angle is 0; null: there is none. Looked for from where no leg can reach
 * downward, in steps of a thousandth, then halved to the last bit.
 */
export function levelHome(platform: Platform): number | null {
  const offset = (leg: Leg): number => leg.base_mm[2] - leg.moving_mm[2];
  const top_mm = platform.crank_mm + platform.rod_mm + Math.max(...platform.legs.map(offset));
  const bottom_mm = Math.max(0, Math.min(...platform.legs.map(offset)));
  const mean = meanAngleAt(platform);
  const step_mm = (top_mm - bottom_mm) / STEPS;
  let from = mean(top_mm);
  for (let n = 1; n <= STEPS; n++) {
    const below = top_mm - n * step_mm;
    const to = mean(below);
    // NaN, out of reach, loses every comparison.
    if (from >= 0 && to <= 0) return bisect(mean, below, below + step_mm);
    from = to;
  }
  return null;
}

/** Where the rising `f` passes 0 between lo and hi. */
function bisect(f: (x: number) => number, lo: number, hi: number): number {
  let [low, high] = [lo, hi];
  for (;;) {
    const middle = (low + high) / 2;
    if (middle <= low || middle >= high) return Math.abs(f(low)) <= Math.abs(f(high)) ? low : high;
    if (f(middle) <= 0) low = middle;
    else high = middle;
  }
}

/** The mean crank angle at home, rad, by the height of home, mm: only the legs' height changes with it. NaN out of reach. */
function meanAngleAt(platform: Platform): (z_mm: number) => number {
  const legs = platform.legs.map((leg, i) => ({
    azimuth_rad: leg.azimuth_rad,
    at: legVector({ ...platform, home_z_mm: 0 }, i, HOME),
  }));
  const angle = (azimuth_rad: number, [x, y, z]: Vec3, z_mm: number): number =>
    crankAngle(platform, azimuth_rad, [x, y, z + z_mm]) ?? NaN;
  return (z_mm) => legs.reduce((sum, { azimuth_rad, at }) => sum + angle(azimuth_rad, at, z_mm), 0) / legs.length;
}
