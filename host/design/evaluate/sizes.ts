/** How large a candidate is at home: radii, height, and the cylinder around all of it but what rides on it. */
import { AT } from '../figures.ts';
import type { Clearance } from '../../rig/clearance.ts';
import type { Ask } from './ask.ts';
import type { LegSet } from './legs.ts';

const MM_PER_M = 1000;
const MM3_PER_CM3 = 1000;

export class Sizes {
  private readonly clearance: Clearance;
  private readonly pivot_mm: readonly number[];

  constructor({ clearance, rig }: Ask) {
    this.clearance = clearance;
    this.pivot_mm = rig.platform?.pivot_mm ?? [0, 0, 0];
  }

  /** @param home_z_mm NaN: there is no height of home; the longest legs stand for it. */
  put(
    legs: LegSet,
    home_z_mm: number,
    body_mm: readonly [number, number, number],
    out: Float64Array,
    at: number,
  ): void {
    const { axes_above_base_mm, plate_below_studs_mm } = this.clearance;
    let base = 0;
    let plate = 0;
    let round = 0;
    for (let i = 0, j = 0; i < 6; i++, j += 3) {
      base = Math.max(base, Math.hypot(legs.base[j]!, legs.base[j + 1]!) * MM_PER_M);
      const x = legs.arm[j]! * MM_PER_M + this.pivot_mm[0]!;
      const y = legs.arm[j + 1]! * MM_PER_M + this.pivot_mm[1]!;
      plate = Math.max(plate, Math.hypot(x, y));
      if (!legs.linear) round = Math.max(round, this.around(legs, i, body_mm));
    }
    const reach_mm = (legs.linear ? legs.longest : legs.crank + legs.rod) * MM_PER_M;
    const height =
      axes_above_base_mm + (Number.isNaN(home_z_mm) ? reach_mm : home_z_mm) + Math.max(0, -plate_below_studs_mm);
    const radius = Math.max(base, plate, round);
    out[at + AT.base_radius] = base;
    out[at + AT.plate_radius] = plate;
    out[at + AT.height] = height;
    out[at + AT.volume] = (Math.PI * radius * radius * height) / MM3_PER_CM3;
  }

  /** How far leg i's crank, level, and its servo's body go from the middle of the base, mm. */
  private around(legs: LegSet, i: number, [long, , deep]: readonly [number, number, number]): number {
    const { horn_thick_mm, rod_thick_mm } = this.clearance;
    const [u, v] = [legs.ux[i]!, legs.uy[i]!];
    const [x, y] = [legs.base[3 * i]! * MM_PER_M, legs.base[3 * i + 1]! * MM_PER_M];
    const crank = legs.crank * MM_PER_M;
    let most = Math.hypot(x + crank * u, y + crank * v);
    const inward = inwardOf(legs, i);
    const back = rod_thick_mm / 2 + horn_thick_mm;
    for (let corner = 0; corner < 4; corner++) {
      const side = (corner & 1 ? long : -long) / 2;
      const depth = (back + (corner & 2 ? deep : 0)) * inward;
      most = Math.max(most, Math.hypot(x + side * u - depth * v, y + side * v + depth * u));
    }
    return most;
  }
}

/** A servo's body lies inward of its crank: 1 along the shaft (-uy, ux), or -1 against it. */
export const inwardOf = ({ base, ux, uy }: LegSet, i: number): 1 | -1 =>
  base[3 * i + 1]! * ux[i]! - base[3 * i]! * uy[i]! > 0 ? -1 : 1;
