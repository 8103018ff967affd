/** Words at marks: none over another, as many as there is room for, the wanted one always. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { fitting } from '../../../host/stage/page/takes/draw.ts';

it('leaves out what the one before it covers, and moves the last into view', () => {
  const words = [0, 20, 50, 95].map((at) => ({ at, width: 30 }));
  expect(fitting(words, 120, -1)).toEqual([0, null, 50, 90]);
});

it('shows the wanted one in the place of those in its way', () => {
  const words = [0, 20, 50, 95].map((at) => ({ at, width: 30 }));
  expect(fitting(words, 120, 1)).toEqual([null, 20, 50, 90]);
});

it('never draws one over another, nor past the edge, and always the wanted one', () => {
  const word = fc.record({ at: fc.integer({ min: 0, max: 300 }), width: fc.integer({ min: 5, max: 80 }) });
  fc.assert(
    fc.property(fc.array(word, { minLength: 1, maxLength: 12 }), fc.nat(11), (all, pick) => {
      const words = [...all].sort((a, b) => a.at - b.at);
      const wanted = pick % words.length;
      const drawn = fitting(words, 300, wanted).flatMap((from, n) =>
        from === null ? [] : [{ from, to: from + words[n]!.width, n }],
      );
      expect(drawn.some(({ n }) => n === wanted)).toBe(true);
      drawn.forEach(({ from, to }, n) => {
        expect(to).toBeLessThanOrEqual(300);
        expect(from).toBeGreaterThanOrEqual(drawn[n - 1]?.to ?? 0);
      });
    }),
    { seed: 5, numRuns: 500 },
  );
});
