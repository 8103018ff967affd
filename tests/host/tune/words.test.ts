/** What is said of limits that fade with speed. */
import { expect, it } from 'vitest';
import { goneWords } from '../../../host/tune/words.ts';

it.each([
  [Infinity, Infinity, null],
  [Infinity, 121, 'none at 121 deg/s'],
  [121, 121, 'none at 121 deg/s'],
  [121, 99.5, 'none at 121 → 99.5 deg/s'],
  [121, Infinity, 'none at 121 deg/s → never'],
] as const)('gone at %s deg/s before and %s after: %s', (before, after, words) => {
  const stays = { speed: 90, plus: 1500, minus: 1500, plus_gone: Infinity, minus_gone: Infinity };
  const joint = { unit: 'deg', file: { ...stays, plus_gone: before }, limits: { ...stays, plus_gone: after } } as const;
  expect(goneWords(joint, 'plus')).toBe(words);
  expect(goneWords(joint, 'minus')).toBeNull();
});
