/** What is said of limits that fall with speed, and of joints that lag or go past with new limits. */
import { expect, it } from 'vitest';
import type { TuneAnswer } from '../../../host/tune/result.ts';
import { goneWords, lateWords } from '../../../host/tune/words.ts';

it.each([
  [Infinity, Infinity, null],
  [Infinity, 121, 'zero at 121 deg/s'],
  [121, 121, 'zero at 121 deg/s'],
  [121, 99.5, 'zero at 121 → 99.5 deg/s'],
  [121, Infinity, 'zero at 121 deg/s → never'],
] as const)('gone at %s deg/s before and %s after: %s', (before, after, words) => {
  const stays = { speed: 90, plus: 1500, minus: 1500, plus_gone: Infinity, minus_gone: Infinity };
  const joint = { unit: 'deg', file: { ...stays, plus_gone: before }, limits: { ...stays, plus_gone: after } } as const;
  expect(goneWords(joint, 'plus')).toBe(words);
  expect(goneWords(joint, 'minus')).toBeNull();
});

it.each([
  [
    { after: 4.1, past_after: 0.2 },
    'nod falls up to 4.1 deg behind what dusk.csv asks (1.6 deg with the file’s limits): "posewright retime" slows the stream there',
  ],
  [
    { after: 4.3, past_after: 4.2 },
    'nod goes up to 4.2 deg past everything that dusk.csv asks (1.5 deg with the file’s limits): "posewright retime" slows the stream there',
  ],
  [
    { after: 4.1, past_after: 0.2, carries_nothing: true },
    'nod falls up to 4.1 deg behind what dusk.csv asks (1.6 deg with the file’s limits): "posewright retime" softens its moves there without slowing anything else',
  ],
  [{ after: 9, past_after: 4.2 }, /past everything .* and falls up to 9\.0 deg behind what dusk\.csv asks/],
])('past and behind with new limits: %o', (change, words) => {
  const late = [{ name: 'nod', unit: 'deg', before: 1.6, past_before: 1.5, ...change }] as const;
  const [said] = lateWords({ late, stream: 'dusk.csv' } as unknown as TuneAnswer);
  if (typeof words === 'string') expect(said).toBe(words);
  else expect(said).toMatch(words);
});
