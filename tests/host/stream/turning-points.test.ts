/** The turning points of a speed count as its whole course does, whatever the prominence turns out to be. */
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { countPeaks } from '../../../host/stream/speed-peaks.ts';
import { TurningPoints } from '../../../host/stream/turning-points.ts';

const SHARE = 0.1;

/** Counted as they pass, the prominence a share of the largest so far. */
function passing(speeds: readonly number[]): { readonly points: TurningPoints; readonly prominence: number } {
  const points = new TurningPoints();
  let largest = 0;
  for (const speed of speeds) {
    largest = Math.max(largest, speed);
    points.add(speed, SHARE * largest);
  }
  return { points, prominence: SHARE * largest };
}

it('counts as the whole course does, with that prominence or more', () => {
  const speed = fc.double({ min: 0, max: 100, noNaN: true });
  // Growing, so that the prominence rises on the way.
  const course = fc.array(speed, { maxLength: 3000, size: 'max' }).map((all) => all.map((v, k) => v * (1 + k / 100)));
  fc.assert(
    fc.property(course, fc.double({ min: 1, max: 5, noNaN: true }), (speeds, more) => {
      const { points, prominence } = passing(speeds);
      expect(points.count(prominence * more)).toBe(countPeaks(speeds, prominence * more));
    }),
    { numRuns: 200 },
  );
});

it('counts a day of peaks in the memory of half an hour', () => {
  const PEAKS = 100_000;
  const points = new TurningPoints();
  for (let k = 0; k < PEAKS; k++) for (const speed of [0, 5, 10, 5]) points.add(speed, 1);
  points.add(0, 1);
  expect(points.count(1)).toBe(PEAKS);
  expect(JSON.stringify(points).length).toBeLessThan(200_000);
});
