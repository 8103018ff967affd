/**
 * The dimensions that decide how far a platform travels, and the rig with one of them changed. Plates that are given by
 * points but lie as symmetric ones do count as such; a home where the cranks stand level stays one.
 */
import { levelHome } from '../rig/geometry.ts';
import { ringPoints } from '../rig/plates.ts';
import { type Joint, type Leg, type Platform, type Rig, type Vec3, toDeg, toRad } from '../rig/rig.ts';
import type { Change } from './result.ts';

export interface Dimension extends Pick<Change, 'path' | 'words' | 'unit'> {
  readonly value: number;
  /** A change worth trying, more and less. */
  readonly step: number;
  /** The rig with this value instead. Joints' home and rest are left as they were. */
  readonly change: (rig: Rig, value: number) => Rig;
}

type Plate = 'base' | 'moving';
const POINTS = { base: 'base_mm', moving: 'moving_mm' } as const;

/** 1, 2 or 5 times a power of ten, the nearest to about a twelfth of a length: 22 mm changes by 2, 120 mm by 10. */
export function roundStep(length: number): number {
  const wanted = Math.abs(length) / 12;
  const power = 10 ** Math.floor(Math.log10(wanted));
  const steps = [1, 2, 5, 10].map((digit) => digit * power);
  return steps.reduce((a, b) => (Math.abs(Math.log(b / wanted)) < Math.abs(Math.log(a / wanted)) ? b : a));
}

const STEP_DEG = 2;
const LIMIT_STEP_DEG = 5;
const STEP_PERCENT = 5;

/** All of a rig's, in the order of the file's keys. The rig must have a platform. */
export function dimensionsOf(rig: Rig): Dimension[] {
  const { platform } = rig;
  if (!platform) throw new Error(`rig ${rig.name} has no platform`);
  const level = isLevel(platform);
  const reshaped = (path: string, words: string, value: number, change: (p: Platform, to: number) => Platform) => ({
    path: `platform.${path}`,
    words,
    unit: 'mm' as const,
    value,
    step: roundStep(value),
    change: (it: Rig, to: number) => withPlatform(it, level, (p) => change(p, to)),
  });
  const crank = [
    reshaped('crank_mm', 'crank', platform.crank_mm, (p, crank_mm) => ({ ...p, crank_mm })),
    reshaped('rod_mm', 'rod', platform.rod_mm, (p, rod_mm) => ({ ...p, rod_mm })),
  ];
  const height = reshaped('home_z_mm', 'height of home', platform.home_z_mm, (p, home_z_mm) => ({ ...p, home_z_mm }));
  return [
    ...plateDimensions(platform, level, 'base'),
    ...plateDimensions(platform, level, 'moving'),
    ...(platform.drive === 'crank' ? crank : []),
    ...(platform.stroke_mm ? [stroke(platform.stroke_mm)] : []),
    ...(platform.rod_end_rad === null ? [] : [rodEnds(platform.rod_end_rad)]),
    ...(level || platform.home_z_mm === 0 ? [] : [height]),
    ...pivots(platform),
    limits(rig.joints[0]?.unit ?? 'deg', platform),
  ];
}

/** Whether home stands where the cranks are level on average, to a millionth of a mm. */
function isLevel(platform: Platform): boolean {
  if (platform.drive === 'linear') return false;
  return Math.abs((levelHome(platform) ?? NaN) - platform.home_z_mm) < 1e-6;
}

/** The rig on another platform; a level home moves to where its cranks are level, and to NaN when there is none. */
function withPlatform(rig: Rig, level: boolean, change: (platform: Platform) => Platform): Rig {
  if (!rig.platform) return rig;
  const platform = change(rig.platform);
  return { ...rig, platform: level ? { ...platform, home_z_mm: levelHome(platform) ?? NaN } : platform };
}

/** Radius (mm) and half angle (rad) of a symmetric plate; null: its points lie otherwise. */
function ringOf(points: readonly Vec3[]): { readonly radius_mm: number; readonly half_rad: number } | null {
  const [first] = points;
  if (!first) return null;
  const [radius_mm, half_rad] = [Math.hypot(first[0], first[1]), -Math.atan2(first[1], first[0])];
  const same = ringPoints(radius_mm, half_rad).every((p, i) =>
    p.every((value, k) => Math.abs(value - (points[i]?.[k] ?? NaN)) < 1e-6),
  );
  return same && half_rad > 0 ? { radius_mm, half_rad } : null;
}

function withPoints(platform: Platform, plate: Plate, points: readonly Vec3[]): Platform {
  const key = POINTS[plate];
  const legs = platform.legs.map((leg, i): Leg => ({ ...leg, [key]: points[i] ?? leg[key] }));
  return { ...platform, legs };
}

function plateDimensions(platform: Platform, level: boolean, plate: Plate): Dimension[] {
  const points = platform.legs.map((leg) => leg[POINTS[plate]]);
  const name = plate === 'base' ? 'base' : 'moving plate';
  const ring = ringOf(points);
  const make =
    (placed: (value: number) => readonly Vec3[]): Dimension['change'] =>
    (rig, value) =>
      withPlatform(rig, level, (p) => withPoints(p, plate, placed(value)));
  if (!ring) {
    const scaled = (percent: number): Vec3[] =>
      points.map(([x, y, z]) => [(x * percent) / 100, (y * percent) / 100, z]);
    const path = `platform.${plate}.points_mm`;
    return [{ path, words: `size of the ${name}`, unit: '%', value: 100, step: STEP_PERCENT, change: make(scaled) }];
  }
  const { radius_mm, half_rad } = ring;
  return [
    {
      path: `platform.${plate}.radius_mm`,
      words: `radius of the ${name}`,
      unit: 'mm',
      value: radius_mm,
      step: roundStep(radius_mm),
      change: make((value) => ringPoints(value, half_rad)),
    },
    {
      path: `platform.${plate}.half_angle_deg`,
      words: `half angle of the ${name}`,
      unit: 'deg',
      value: toDeg(half_rad),
      step: STEP_DEG,
      change: make((value) => ringPoints(radius_mm, toRad(value))),
    },
  ];
}

const rodEnds = (rod_end_rad: number): Dimension => ({
  path: 'platform.rod_end_deg',
  words: 'tilt of the rod ends',
  unit: 'deg',
  value: toDeg(rod_end_rad),
  step: STEP_DEG,
  change: (rig, value) => withPlatform(rig, false, (p) => ({ ...p, rod_end_rad: toRad(value) })),
});

/** A longer actuator of the same shortest length: the upper soft limit moves with it. */
const stroke = ([shortest, longest]: readonly [number, number]): Dimension => ({
  path: 'platform.stroke_mm',
  words: 'longest stroke',
  unit: 'mm',
  value: longest,
  step: roundStep((longest - shortest) * 2),
  change: (rig, value) => {
    const by = value - (rig.platform?.stroke_mm?.[1] ?? NaN);
    const moved = withPlatform(rig, false, (p) => ({ ...p, stroke_mm: [shortest, value] }));
    return withLegs(moved, (joint) => ({ ...joint, hi: joint.hi + by }));
  },
});

function pivots(platform: Platform): Dimension[] {
  const step = roundStep(Math.max(...platform.legs.map(({ moving_mm }) => Math.hypot(...moving_mm))));
  return (['x', 'y', 'z'] as const).map((letter, k) => ({
    path: `platform.pivot_mm.${letter}`,
    words: `pivot along the plate’s ${letter}`,
    unit: 'mm',
    value: platform.pivot_mm[k] ?? NaN,
    step,
    change: (rig, value) =>
      withPlatform(rig, false, (p) => ({ ...p, pivot_mm: p.pivot_mm.map((v, i) => (i === k ? value : v)) as never })),
  }));
}

const withLegs = (rig: Rig, change: (joint: Joint) => Joint): Rig => ({
  ...rig,
  joints: rig.joints.map((joint) => (joint.kind === 'leg' ? change(joint) : joint)),
});

/** The value is how much wider, on both sides, every leg's soft limits are. */
function limits(unit: 'deg' | 'mm', { stroke_mm }: Platform): Dimension {
  const inside = (by: number): number => (unit === 'deg' ? toRad(by) : by);
  return {
    path: `platform.limit_${unit}`,
    words: 'soft limits, on both sides',
    unit,
    value: 0,
    step: unit === 'deg' ? LIMIT_STEP_DEG : roundStep((stroke_mm ? stroke_mm[1] - stroke_mm[0] : 50) * 0.5),
    change: (rig, by) => withLegs(rig, (joint) => ({ ...joint, lo: joint.lo - inside(by), hi: joint.hi + inside(by) })),
  };
}
