/** What joints hold at the hardest place that their rig's soft limits allow: what `load` says of it, without the rest of its answer. */
import type { Rig } from '../rig/rig.ts';
import { Demand } from './demand.ts';
import { HoldSearch } from './worst.ts';

export class HardestHold {
  private readonly demand: Demand;
  private readonly search: HoldSearch;

  constructor(rig: Rig) {
    this.demand = new Demand(rig);
    this.search = new HoldSearch(this.demand);
  }

  /**
   * Searched for as `load` does, and not always the same place: `load` asks one search about all joints, one after the other, which
   * draw from one stream of random numbers. On the demo within 0.2 % of what `load` says (measured).
   * @returns of the joint with this index, at the servo, N·m (N where it is linear); Infinity: it cannot be told.
   */
  of(joint: number): number {
    const { demand, search } = this;
    if (!demand.hold(search.worst(joint))) return Infinity;
    const held = Math.abs(demand.atServo(joint));
    return Number.isNaN(held) ? Infinity : held;
  }
}
