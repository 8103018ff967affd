/** Shapers on the controller's grid: positive, in sum 1, and cancelling there as the textbook's do in continuous time. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { residual } from '../../../host/physics/vibration/shaper.ts';
import { type Cure, type Tap, meanDelay_s, shaperOf, tapsOf } from '../../../host/rig/shaper.ts';

const SEED = 1990;
const CURES: readonly Cure[] = ['exact', 'tolerant', 'broad'];
const onTime = (taps: readonly Tap[], tick_hz: number) =>
  taps.map(({ share, ticks }) => ({ share, at_s: ticks / tick_hz }));
/** Wobble and tick rate: hz at most a quarter of it. */
const anyWobble = fc
  .record({
    tick_hz: fc.integer({ min: 50, max: 1000 }),
    share: fc.double({ min: 0.002, max: 0.25, noNaN: true }),
    damping: fc.oneof(fc.constant(0), fc.double({ min: 0, max: 0.3, noNaN: true })),
  })
  .map(({ tick_hz, share, damping }) => ({ tick_hz, hz: share * tick_hz, damping }));

describe('taps', () => {
  it('are positive, begin at once and are all of the motion', () => {
    fc.assert(
      fc.property(anyWobble, fc.constantFrom(...CURES), ({ tick_hz, hz, damping }, cure) => {
        const taps = tapsOf(cure, hz, damping, tick_hz);
        expect(taps[0]?.ticks).toBe(0);
        for (const { share, ticks } of taps) {
          expect(share).toBeGreaterThan(0);
          expect(Number.isInteger(ticks)).toBe(true);
        }
        expect(taps.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 10);
        expect(taps.length).toBeLessThanOrEqual(6);
      }),
      { seed: SEED },
    );
  });

  it('exact and tolerant leave nothing at their frequency, whatever the ticks', () => {
    fc.assert(
      fc.property(
        anyWobble,
        fc.constantFrom('exact' as const, 'tolerant' as const),
        ({ tick_hz, hz, damping }, cure) => {
          expect(residual(onTime(tapsOf(cure, hz, damping, tick_hz), tick_hz), hz, damping)).toBeLessThan(1e-9);
        },
      ),
      { seed: SEED },
    );
  });

  it('tolerant is flat there: a thousandth off leaves a millionth', () => {
    for (const hz of [1.7, 3.3, 11]) {
      const taps = onTime(tapsOf('tolerant', hz, 0.03, 200), 200);
      expect(residual(taps, hz * 1.001, 0.03)).toBeLessThan(1e-5);
      for (const ratio of [0.86, 1.14]) expect(residual(taps, hz * ratio, 0.03)).toBeLessThan(0.05);
    }
  });

  it('broad leaves no more than its 5 % and what the grid adds', () => {
    for (const hz of [1.7, 3.3, 11])
      for (const damping of [0, 0.02, 0.1])
        for (const ratio of [0.81, 0.9, 1, 1.1, 1.19]) {
          const taps = onTime(tapsOf('broad', hz, damping, 200), 200);
          expect(
            residual(taps, hz * ratio, damping),
            `${String(hz)} Hz, ${String(damping)}, ${String(ratio)}`,
          ).toBeLessThan(0.058);
        }
  });

  it.each(CURES)('%s: the more ticks, the nearer to the textbook', (cure) => {
    const shaper = shaperOf(cure, 2.1, 0.04);
    const taps = onTime(tapsOf(cure, 2.1, 0.04, 1000), 1000);
    for (const hz of [0.3, 1, 2.1, 3.5, 6]) expect(residual(taps, hz, 0.04)).toBeCloseTo(residual(shaper, hz, 0.04), 2);
    expect(meanDelay_s(taps)).toBeCloseTo(meanDelay_s(shaper), 5);
  });
});
