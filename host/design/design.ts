/**
 * What a candidate of the design search is: the figures that a want leaves free, decoded, stock sizes already chosen. mm, rad, kg.
 * All else is as the base rig has it.
 */
import { PAIRS_DEG } from '../rig/plates.ts';
import { type Rig, type Vec3, toRad } from '../rig/rig.ts';

/** A counterweight on a geared axis: so heavy, so far from the axis, opposite to what the axis carries (counterweight.ts). */
export interface Counterweight {
  readonly kg: number;
  readonly at_mm: number;
}

/** What is designed of a joint that is no leg. */
export interface AxisDesign {
  /** Its name in the rig. */
  readonly joint: string;
  /** Null: as given. */
  readonly gear_ratio: number | null;
  /** Null: none. */
  readonly counterweight: Counterweight | null;
  /** Index into the servo classes of the ask; -1: as given. */
  readonly servo: number;
}

export interface Design {
  /** Both plates are symmetric (DEVELOPERS.md, "Frames"); where the ask keeps a plate as given, its two figures are not read. */
  readonly base_radius_mm: number;
  readonly base_half_rad: number;
  readonly plate_radius_mm: number;
  readonly plate_half_rad: number;
  /** 0 on a linear platform. */
  readonly crank_mm: number;
  readonly rod_mm: number;
  /** Linear platforms: shortest and longest; null: a crank platform. */
  readonly stroke_mm: readonly [number, number] | null;
  /** Null: where the cranks stand level; a linear platform always has one. */
  readonly home_z_mm: number | null;
  readonly facing: 'outward' | 'inward';
  /** Index into the servo classes of the ask; -1: as given. */
  readonly servo: number;
  /** Soft limits of all legs, rad or mm; null: as given, on a linear platform as far inside its strokes as given. */
  readonly limits: readonly [number, number] | null;
  readonly axes: readonly AxisDesign[];
}

/** Azimuth of leg i's crank at angle 0. */
export const azimuthOf = (i: number, facing: Design['facing']): number =>
  toRad((PAIRS_DEG[i >> 1] ?? NaN) + ((i % 2 === 0) === (facing === 'outward') ? -90 : 90));

/** The design that a rig already is; a plate whose joints lie otherwise than on a ring goes by their mean radius and half angle. */
export function designOf({ platform }: Rig): Design {
  if (!platform) throw new Error('a rig without a platform has no design');
  const { legs, crank_mm, rod_mm, stroke_mm, home_z_mm } = platform;
  const ring = (points: readonly Vec3[]): readonly [number, number] => [mean(points.map(radiusOf)), halfOf(points)];
  const [base_radius_mm, base_half_rad] = ring(legs.map((leg) => leg.base_mm));
  const [plate_radius_mm, plate_half_rad] = ring(legs.map((leg) => leg.moving_mm));
  const outward = Math.cos((legs[0]?.azimuth_rad ?? 0) - azimuthOf(0, 'outward')) >= 0;
  return {
    base_radius_mm,
    base_half_rad,
    plate_radius_mm,
    plate_half_rad,
    crank_mm,
    rod_mm,
    stroke_mm,
    home_z_mm,
    facing: outward ? 'outward' : 'inward',
    servo: -1,
    limits: null,
    axes: [],
  };
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const radiusOf = ([x, y]: Vec3): number => Math.hypot(x, y);

/** Mean half angle of the three pairs, rad. */
function halfOf(points: readonly Vec3[]): number {
  const angles = points.map(([x, y]) => Math.atan2(y, x));
  const pair = (k: number): number => {
    const between = (angles[2 * k + 1] ?? NaN) - (angles[2 * k] ?? NaN);
    return (between - 2 * Math.PI * Math.round(between / (2 * Math.PI))) / 2;
  };
  return mean([0, 1, 2].map(pair));
}
