/** What every cause has in common: what speaks for it in this rig, the one test that tells it from the others, cure and cost. */
import type { Facts, JointFacts } from '../facts.ts';
import type { Remedy } from '../remedies.ts';
import type { Cause } from '../result.ts';

/** A cause before it is ranked. Its words have no stop at their end. */
export interface Suspect extends Omit<Cause, 'likely' | 'before' | 'after' | 'assumed'> {
  /** How much speaks for it, 0 to 1 (ours): it orders the list and is shown as a word. */
  readonly weight: number;
  /** What the simulated metal may try, and at which joint to look; null: it does not know this cause, or nothing is to be tried. */
  readonly trial: { readonly remedy: Remedy; readonly joint: string } | null;
}

/** What a cause has to say of a rig; null: this rig cannot have it. */
export type Look = (facts: Facts) => Suspect | null;

/** The joint with the most of a figure, if any has it. */
export function most(facts: Facts, figure: (joint: JointFacts) => number | null | undefined): JointFacts | null {
  let [found, best] = [null as JointFacts | null, 0];
  for (const joint of facts.joints) {
    const value = figure(joint) ?? 0;
    if (value > best) [found, best] = [joint, value];
  }
  return found;
}

/** Share of its stall torque that a joint has to hold at worst; Infinity: the plate comes to where it hangs loose. */
export const heldShare = ({ load }: JointFacts): number | null =>
  load === null ? null : load.worst.loose ? Infinity : load.worst.use;
