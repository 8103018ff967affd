/** What is said first where no design is shown: whether a relaxed wish helps, and how far it was looked. */
import type { Answer } from './answer.ts';

/** Whether the nearest design's shortfalls are told: where wishes can be relaxed or designs were found, they mislead. */
export const tellsNearest = ({ relaxed, front }: Pick<Answer, 'relaxed' | 'front'>): boolean =>
  relaxed.length === 0 && front.shown.length === 0 && front.dropped.length === 0;

type Lost = Pick<Answer, 'relaxed' | 'front' | 'missing' | 'complete' | 'few'>;

/** A sentence or two, above the wishes, the shortfalls or the reasons that it speaks of. */
export function lostWords({ relaxed, front, missing, complete, few }: Lost): string {
  if (relaxed.length > 0)
    return 'Relax one of these, the smallest step first; all others, unless named beside it, stay as asked.';
  if (front.dropped.length > 0)
    return 'By the figures of the search some did, but check, reach or load refuse each of them:';
  if (missing.length > 0) return 'Shards are missing: the nearest design of the others falls short of these.';
  if (!complete) return 'It was stopped early: the nearest design so far falls short of these.';
  return few
    ? 'Too few designs were looked at to tell: raise --evaluations. The nearest so far falls short of these.'
    : 'No single wish is enough: the nearest design falls short of these together.';
}
