/** What a joint holds at the hardest place that its rig's soft limits allow: what `load` says of it, without the rest of its answer. */
import type { Rig } from '../rig/rig.ts';
import { Demand } from './demand.ts';
import { HoldSearch } from './worst.ts';

/**
 * Found as `load` finds it, each joint by itself: within a thousandth of what `load` says, whose search goes joint by joint.
 * @returns at the servo, N·m (N where it is linear), of the joints with these indices; Infinity: it cannot be told.
 */
export function hardestHolds(rig: Rig, indices: readonly number[]): number[] {
  if (indices.length === 0) return [];
  const demand = new Demand(rig);
  const search = new HoldSearch(demand);
  return indices.map((i) => {
    if (!demand.hold(search.worst(i))) return Infinity;
    const held = Math.abs(demand.atServo(i));
    return Number.isNaN(held) ? Infinity : held;
  });
}
