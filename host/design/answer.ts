/** What a design search answers: the front that is shown, or which wish to relax. */
import type { Subject } from './problem-of.ts';
import type { Relaxed } from './relax.ts';
import type { Front } from './shown.ts';

export interface Answer {
  readonly subject: Subject;
  readonly front: Front;
  readonly relaxed: readonly Relaxed[];
  /** Wishes that the nearest design falls short of, in words, where no single wish is enough. */
  readonly nearest: readonly string[];
  /** Designs that were looked at, those for what to relax as well, and how many hold everything. */
  readonly evaluated: number;
  readonly feasible: number;
  /** What is shown was found only when it was looked for what to relax. */
  readonly late: boolean;
  /** The search itself looked at too few to tell that nothing holds. */
  readonly few: boolean;
  /** All that was planned was searched, or for all the time there was. */
  readonly complete: boolean;
  /** Shards that are not here, in words. */
  readonly missing: readonly string[];
  readonly seed: number;
}
