/** A figure beside its limit. */
import { expect, test } from 'vitest';
import { ALLOWED } from '../../../host/retime/ticks.ts';
import { besideLimit } from '../../../host/retime/words.ts';

test('what counts as at its limit is shown at it, and what is above it as it is', () => {
  expect(besideLimit(2199.2, 2200)).toBe(2199.2);
  expect(besideLimit(2200.9, 2200)).toBe(2200);
  expect(besideLimit(2200 * ALLOWED + 0.1, 2200)).toBe(2200 * ALLOWED + 0.1);
  expect(besideLimit(NaN, 2200)).toBeNaN();
});
