import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Envelope } from '../../../host/replay/envelope.ts';

type Sample = readonly [t_s: number, value: number];

/** The same by holding everything. */
function bruteForce(samples: readonly Sample[], bucket_s: number, count: number): { lo: number[]; hi: number[] } {
  const lo = new Array<number>(count).fill(NaN);
  const hi = new Array<number>(count).fill(NaN);
  for (const [t_s, value] of samples) {
    if (Number.isNaN(value)) continue;
    const index = Math.max(0, Math.floor(t_s / bucket_s));
    lo[index] = Number.isNaN(lo[index]) ? value : Math.min(lo[index]!, value);
    hi[index] = Number.isNaN(hi[index]) ? value : Math.max(hi[index]!, value);
  }
  return { lo, hi };
}

describe('the envelope', () => {
  it('keeps the lowest and highest of each bucket, and holes', () => {
    const envelope = new Envelope(8, 1);
    const samples: Sample[] = [
      [0.2, 3],
      [0.9, -1],
      [2.1, NaN],
      [3.5, 4],
    ];
    samples.forEach(([t_s, value]) => envelope.add(t_s, value));
    const { bucket_s, lo, hi } = envelope.data();
    expect(bucket_s).toBe(1);
    expect([...lo]).toEqual([-1, NaN, NaN, 4]);
    expect([...hi]).toEqual([3, NaN, NaN, 4]);
  });

  it('doubles its buckets when they are full, with nothing lost', () => {
    const envelope = new Envelope(4, 1);
    for (let t_s = 0; t_s < 9; t_s += 1) envelope.add(t_s, t_s);
    const { bucket_s, lo, hi } = envelope.data();
    expect(bucket_s).toBe(4);
    expect([...lo]).toEqual([0, 4, 8]);
    expect([...hi]).toEqual([3, 7, 8]);
  });

  it('is what holding every value would give', () => {
    // Times in sixteenths and widths in powers of two, so that the check divides exactly.
    const time = fc.integer({ min: -16, max: 4000 }).map((n) => n / 16);
    const value = fc.oneof({ weight: 5, arbitrary: fc.double() }, { weight: 1, arbitrary: fc.constant(NaN) });
    fc.assert(
      fc.property(fc.array(fc.tuple(time, value), { maxLength: 60 }), (samples) => {
        const envelope = new Envelope(16, 0.25);
        samples.forEach(([t_s, v]) => envelope.add(t_s, v));
        const { bucket_s, lo, hi } = envelope.data();
        expect(lo.length).toBeLessThanOrEqual(16);
        const expected = bruteForce(samples, bucket_s, lo.length);
        lo.forEach((low, i) => expect(low + 0).toBe(expected.lo[i]! + 0));
        hi.forEach((high, i) => expect(high + 0).toBe(expected.hi[i]! + 0));
      }),
      { numRuns: 500 },
    );
  });

  it('draws an hour and a second in the same memory, and at least half of it', () => {
    for (const seconds of [13, 60, 3600, 36_000]) {
      const envelope = new Envelope();
      for (let t_s = 0; t_s < seconds; t_s += seconds / 5000) envelope.add(t_s, 1);
      const { lo, bucket_s } = envelope.data();
      expect(lo.length).toBeGreaterThan(300);
      expect(lo.length).toBeLessThanOrEqual(600);
      expect(lo.length * bucket_s).toBeCloseTo(seconds, -Math.log10(2 * bucket_s) - 0.5);
      expect([...lo]).not.toContain(NaN);
    }
  });

  it('takes the lowest and the highest of several values at once', () => {
    const together = new Envelope(16, 0.25);
    const apart = new Envelope(16, 0.25);
    for (const [t_s, low, high] of [
      [0, -1, 2],
      [0.1, NaN, 3],
      [0.3, -2, NaN],
      [9, 4, 5],
    ] as const) {
      together.add(t_s, low, high);
      apart.add(t_s, low);
      apart.add(t_s, high);
    }
    expect(together.data()).toEqual(apart.data());
  });

  it('of nothing is empty', () => {
    expect(new Envelope().data().lo).toHaveLength(0);
  });
});
