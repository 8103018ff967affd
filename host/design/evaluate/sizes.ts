/** How large a candidate is at home: radii, height, and the cylinder around all of it but what rides on it. */
import { AT } from '../figures.ts';
import type { Clearance } from '../../rig/clearance.ts';
import { faceBehindRod_mm, inwardAlongShaft } from '../../rig/servo-body.ts';
import type { Ask } from './ask.ts';
import type { LegSet } from './legs.ts';

const MM_PER_M = 1000;
const MM3_PER_CM3 = 1000;

/** From the base plate's face to the moving plate or its rod ends at home, whichever is higher, mm: what `room.height_mm` bounds. */
export const heightOf = ({ axes_above_base_mm, plate_below_studs_mm }: Clearance, home_z_mm: number): number =>
  axes_above_base_mm + home_z_mm + Math.max(0, -plate_below_studs_mm);

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
    const height = heightOf(this.clearance, Number.isNaN(home_z_mm) ? reach_mm : home_z_mm);
    const radius = Math.max(base, plate, round);
    out[at + AT.base_radius] = base;
    out[at + AT.plate_radius] = plate;
    out[at + AT.height] = height;
    out[at + AT.volume] = (Math.PI * radius * radius * height) / MM3_PER_CM3;
  }

  /** How far leg i's crank, level, and its servo's body go from the middle of the base, mm. */
  private around(legs: LegSet, i: number, [long, , deep]: readonly [number, number, number]): number {
    const [u, v] = [legs.ux[i]!, legs.uy[i]!];
    const [x, y] = [legs.base[3 * i]! * MM_PER_M, legs.base[3 * i + 1]! * MM_PER_M];
    const crank = legs.crank * MM_PER_M;
    let most = Math.hypot(x + crank * u, y + crank * v);
    const inward = inwardOf(legs, i);
    const back = faceBehindRod_mm(this.clearance);
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
  inwardAlongShaft(base[3 * i]!, base[3 * i + 1]!, ux[i]!, uy[i]!);
