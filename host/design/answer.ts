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
  readonly evaluated: number;
  readonly feasible: number;
  /** All that was planned was searched. */
  readonly complete: boolean;
  readonly seed: number;
}
