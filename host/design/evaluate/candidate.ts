/** One candidate in hand: its legs, rods, drives, and where it stands. The parts of an evaluation share it; it is written over by the next. */
import type { Design } from '../design.ts';
import { Bars } from './bars.ts';
import { Crew } from './crew.ts';
import { Geometries } from './geometry.ts';
import { LegSet } from './legs.ts';
import { Moment } from './moment.ts';
import type { Prepared } from './prepare.ts';
import { platformOf } from './candidate-rig.ts';
import { rpyInto } from '../../rig/rotation.ts';
import { Rods } from './statics.ts';
import { Travels, level } from './travels.ts';

const MM = 1e-3;

export class Candidate {
  readonly legs = new LegSet();
  readonly rods = new Rods();
  readonly bars: Bars;
  readonly crew: Crew;
  readonly moment: Moment;
  readonly travels: Travels;
  /** Height of home, mm; NaN: there is none. */
  home_z_mm = NaN;
  /** Which side of its singular poses home is on; 0: on neither. */
  side = 0;
  private readonly geometries: Geometries;
  private readonly ways: Float64Array;
  private readonly pose = new Float64Array(9);

  constructor({ ask, axes, axisIndex, weighted, ways }: Prepared) {
    const { crank_kg, rod_kg } = platformOf(ask.rig);
    this.bars = new Bars(crank_kg ?? 0, rod_kg ?? 0);
    this.crew = new Crew(ask, axisIndex, weighted);
    this.moment = new Moment(axes.length);
    this.geometries = new Geometries(ask);
    this.travels = new Travels(ways, this.legs);
    this.ways = ways;
  }

  /** Places the legs at a share of the way from home to a pose of the carrier's axes (m, rad), at `at` in an array. */
  go(poses: Float64Array, at: number, share: number): boolean {
    const { ways: m, pose: R, legs } = this;
    rpyInto(share * poses[at + 3]!, share * poses[at + 4]!, share * poses[at + 5]!, R);
    // The mount's transposed · R · mount: what a base sees of it.
    for (let r = 0; r < 3; r++)
      for (let c = 0; c < 3; c++) {
        let sum = 0;
        for (let k = 0; k < 3; k++) for (let n = 0; n < 3; n++) sum += m[3 * k + r]! * R[3 * k + n]! * m[3 * n + c]!;
        legs.turn[3 * r + c] = sum;
      }
    const shift = (c: number): number =>
      share * (m[c]! * poses[at]! + m[3 + c]! * poses[at + 1]! + m[6 + c]! * poses[at + 2]!);
    return legs.place(shift(0), shift(1), shift(2));
  }

  /** Height of home, m. */
  get height(): number {
    return this.home_z_mm * MM;
  }

  /** Takes a design. @returns a code: -1: its legs stand at home and hold the plate; -2: no height of home; else what stops them there; -3: loose. */
  take(design: Design): number {
    const { legs, rods } = this;
    this.crew.choose(design);
    this.home_z_mm = this.geometries.put(design, legs);
    this.side = 0;
    if (Number.isNaN(this.home_z_mm)) return NO_HOME;
    level(legs.turn);
    legs.place(0, 0, 0);
    const stop = legs.stop();
    if (stop >= 0) return stop;
    this.side = rods.sideOf(legs);
    return this.side === 0 ? LOOSE : STANDS;
  }
}

export const STANDS = -1;
export const NO_HOME = -2;
export const LOOSE = -3;
