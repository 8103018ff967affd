/** One candidate along chosen ticks of a stream: what is worst there, and where. */
import { HOPELESS } from '../figures.ts';
import type { Bars } from './bars.ts';
import type { Crew } from './crew.ts';
import type { Instants } from './instants.ts';
import { type LegSet, PER_LEG, MARGINS } from './legs.ts';
import type { Moment } from './moment.ts';
import type { Rods } from './statics.ts';

/** What counts for a pose from which the plate gets loose, or at which no torque holds it. */
const LOOSE_SHORT = 1;

/** By how much the legs, as they are placed, are short of reaching: 0, or the largest of share of the rod, rad (or share of the stroke), sin². */
export function shortOf(legs: LegSet, margins: Float64Array): number {
  legs.marginsInto(margins, 0);
  let worst = 0;
  for (let i = 0, k = 0; i < 6; i++)
    for (let n = 0; n < PER_LEG; n++, k++) {
      let short = -margins[k]!;
      // Limits are kept by tangents, which go to infinity: past one by so many rad.
      if (short > 0 && (n === 2 || n === 3) && !legs.linear)
        short = Math.abs(legs.coordinateOf(legs.at[i]!) - legs.coordinateOf(n === 2 ? legs.lo[i]! : legs.hi[i]!));
      if (!(short <= worst)) worst = short;
    }
  return worst <= HOPELESS ? worst : HOPELESS;
}

/** Bounds of the figures of a candidate along a stream. Efforts of axes are at the joint. */
export class Along {
  legUse = 0;
  current = 0;
  short = 0;
  readonly axisUse: Float64Array;
  readonly axisPeak: Float64Array;
  private readonly margins = new Float64Array(MARGINS);

  constructor(axes: number) {
    this.axisUse = new Float64Array(axes);
    this.axisPeak = new Float64Array(axes);
  }

  /** Where it can only be told whether it reaches. @param side of home. */
  reach(instants: Instants, legs: LegSet, moment: Moment): void {
    for (let n = 0; n < instants.count; n++) {
      moment.place(instants, n, legs);
      this.fallShort(legs);
    }
  }

  private fallShort(legs: LegSet): void {
    if (legs.stop() < 0) return;
    const short = shortOf(legs, this.margins);
    if (short > this.short) this.short = short;
  }

  /** All of them. @param height of home, m; @param side of home. */
  walk(
    instants: Instants,
    height: number,
    side: number,
    legs: LegSet,
    rods: Rods,
    bars: Bars,
    crew: Crew,
    moment: Moment,
  ): void {
    this.legUse = this.current = this.short = 0;
    this.axisUse.fill(0);
    this.axisPeak.fill(0);
    for (let n = 0; n < instants.count; n++) {
      if (!this.step(instants, n, height, side, legs, rods, bars, crew, moment)) continue;
      if (moment.legUse > this.legUse) this.legUse = moment.legUse;
      if (moment.current > this.current) this.current = moment.current;
      for (let k = 0; k < this.axisUse.length; k++) {
        const effort = Math.abs(moment.axis[k]!);
        if (moment.axisUse[k]! > this.axisUse[k]!) this.axisUse[k] = moment.axisUse[k]!;
        if (effort > this.axisPeak[k]!) this.axisPeak[k] = effort;
      }
    }
  }

  /** One: what is told of it stands in moment. @returns false: the plate does not get there, which counts as short. */
  step(
    instants: Instants,
    n: number,
    height: number,
    side: number,
    legs: LegSet,
    rods: Rods,
    bars: Bars,
    crew: Crew,
    moment: Moment,
  ): boolean {
    moment.place(instants, n, legs);
    if (legs.stop() >= 0) {
      this.fallShort(legs);
      return false;
    }
    if (!moment.work(instants, n, height, legs, rods, bars, crew, true) || rods.side !== side) {
      if (this.short < LOOSE_SHORT) this.short = LOOSE_SHORT;
      return false;
    }
    moment.spend(instants, n, crew, legs.linear);
    return true;
  }
}
