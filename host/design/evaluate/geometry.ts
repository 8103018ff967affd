/** Puts a design's figures into a set of legs: joints, limits, the height of home. Without allocation but for rigs that keep plates. */
import type { Platform, Rig } from '../../rig/rig.ts';
import type { Design } from '../design.ts';
import type { Ask } from './ask.ts';
import { candidatePlatform, platformOf } from './candidate-rig.ts';
import type { LegSet } from './legs.ts';

const MM = 1e-3;
const PAIRS = [0, (2 * Math.PI) / 3, (4 * Math.PI) / 3] as const;

/** What of an ask decides geometry, worked out once. */
export class Geometries {
  private readonly platform: Platform;
  private readonly ask: Ask;
  /** Whether level homes have a closed form: all six legs alike. */
  private readonly alike: boolean;
  /** Soft limits as given, rad or m. */
  private readonly given: Float64Array;

  constructor(ask: Ask) {
    const { rig, keeps } = ask;
    this.ask = ask;
    this.platform = platformOf(rig);
    this.alike = !keeps.base && !keeps.plate && !keeps.azimuths && this.platform.branch === 'near';
    this.given = limitsOf(rig);
  }

  /** @returns the height of home in mm, NaN: there is none, and no legs then. */
  put(design: Design, legs: LegSet): number {
    const { platform } = this;
    legs.linear = platform.drive === 'linear';
    legs.other = platform.branch === 'other';
    legs.crank = design.crank_mm * MM;
    legs.rod = design.rod_mm * MM;
    const stroke = design.stroke_mm ?? platform.stroke_mm;
    legs.shortest = (stroke?.[0] ?? 0) * MM;
    legs.longest = (stroke?.[1] ?? 0) * MM;
    const tilt = platform.rod_end_rad;
    legs.tilt2 = tilt === null ? Infinity : Math.sin(tilt) ** 2;
    if (!legs.linear && !(legs.rod > legs.crank && legs.crank > 0)) return NaN;
    this.putPlates(design, legs);
    this.putLimits(design, legs);
    const home_z_mm = design.home_z_mm ?? this.levelOf(design, legs);
    for (let k = 0; k < 3; k++) legs.pivot[k] = platform.pivot_mm[k]! * MM;
    legs.pivot[2]! += home_z_mm * MM;
    return home_z_mm;
  }

  private putPlates(design: Design, legs: LegSet): void {
    const { platform, ask } = this;
    const { base, arm, ux, uy } = legs;
    const outward = design.facing === 'outward' ? 1 : -1;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      const given = platform.legs[i]!;
      const side = i % 2 === 0 ? -1 : 1;
      const pair = PAIRS[i >> 1]!;
      putPoint(
        base,
        j,
        ask.keeps.base ? given.base_mm : null,
        design.base_radius_mm,
        pair + side * design.base_half_rad,
      );
      putPoint(
        arm,
        j,
        ask.keeps.plate ? given.moving_mm : null,
        design.plate_radius_mm,
        pair + side * design.plate_half_rad,
      );
      for (let k = 0; k < 3; k++) arm[j + k]! -= platform.pivot_mm[k]! * MM;
      const azimuth = ask.keeps.azimuths || legs.linear ? given.azimuth_rad : pair + (side * outward * Math.PI) / 2;
      ux[i] = Math.cos(azimuth);
      uy[i] = Math.sin(azimuth);
    }
  }

  private putLimits({ limits, stroke_mm }: Design, legs: LegSet): void {
    const { given, platform, ask } = this;
    const was = platform.stroke_mm;
    const unit = legs.linear ? MM : 1;
    for (let i = 0; i < 6; i++) {
      let lo = given[2 * i]!;
      let hi = given[2 * i + 1]!;
      if (was && stroke_mm) {
        lo += (stroke_mm[0] - was[0]) * MM;
        hi += (stroke_mm[1] - was[1]) * MM;
      }
      if (limits) {
        const isOwn = ask.ownLimits[i]!;
        lo = isOwn ? Math.max(lo, limits[0] * unit) : limits[0] * unit;
        hi = isOwn ? Math.min(hi, limits[1] * unit) : limits[1] * unit;
      }
      legs.lo[i] = legs.markOf(lo);
      legs.hi[i] = legs.markOf(hi);
    }
  }

  /**
   * Where the cranks stand level. Of a symmetric platform all legs are alike, so that all cranks are level at once: the rod is then the
   * long side of a right triangle over the distance from the level crank's tip to the moving joint, seen from above.
   */
  private levelOf(design: Design, { base, arm, ux, uy, crank, rod }: LegSet): number {
    if (!this.alike) return candidatePlatform(this.ask, design)?.home_z_mm ?? NaN;
    const [px, py] = this.platform.pivot_mm;
    const x = base[0]! + crank * ux[0]! - arm[0]! - px * MM;
    const y = base[1]! + crank * uy[0]! - arm[1]! - py * MM;
    return Math.sqrt(rod * rod - x * x - y * y) / MM;
  }
}

function putPoint(
  out: Float64Array,
  j: number,
  given_mm: readonly number[] | null,
  radius_mm: number,
  azimuth: number,
): void {
  out[j] = (given_mm ? given_mm[0]! : radius_mm * Math.cos(azimuth)) * MM;
  out[j + 1] = (given_mm ? given_mm[1]! : radius_mm * Math.sin(azimuth)) * MM;
  out[j + 2] = given_mm ? given_mm[2]! * MM : 0;
}

/** Of each leg, lowest and highest, rad or m. */
function limitsOf({ joints }: Rig): Float64Array {
  return Float64Array.from(
    joints.slice(0, 6).flatMap(({ lo, hi, unit }) => (unit === 'mm' ? [lo * MM, hi * MM] : [lo, hi])),
  );
}
