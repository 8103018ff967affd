/** What is said where no design is shown, in the terminal and on the page alike. */
import { expect, it } from 'vitest';
import type { Answer } from '../../../host/design/answer.ts';
import { lostWords, tellsNearest } from '../../../host/design/lost-words.ts';

const NONE = { shown: [], dropped: [], before_nm: {} };
const WHOLE = { relaxed: [], front: NONE, missing: [], complete: true, few: false };

it.each<[string, Partial<Answer>, RegExp]>([
  ['all was looked at', {}, /^No single wish is enough/],
  ['few were looked at', { few: true }, /^Too few designs/],
  ['it was stopped', { few: true, complete: false }, /^It was stopped early/],
  ['a shard is missing', { complete: false, missing: ['shard 2 of 2'] }, /^Shards are missing/],
  [
    'check, reach or load refuse all',
    { front: { ...NONE, dropped: [{ because: 'a', designs: 1 }] } },
    /^By the figures of the search some did, but check, reach or load refuse each/,
  ],
  [
    'one is relaxed',
    { few: true, relaxed: [{ words: 'a' }] as unknown as Answer['relaxed'] },
    /^Relax one of these, .* all others, unless named beside it, stay as asked\.$/,
  ],
])('%s', (_, own, words) => {
  expect(lostWords({ ...WHOLE, ...own })).toMatch(words);
});

it('what the nearest falls short of is told only where no design was found and no wish helps', () => {
  expect(tellsNearest({ relaxed: [], front: NONE })).toBe(true);
  expect(tellsNearest({ relaxed: [], front: { ...NONE, dropped: [{ because: 'a', designs: 1 }] } })).toBe(false);
  expect(tellsNearest({ relaxed: [{}] as unknown as Answer['relaxed'], front: NONE })).toBe(false);
});
