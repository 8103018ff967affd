import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Interpolant } from '../../../host/stream/interpolate.ts';
import { StoredStream } from '../../../host/stream/stored.ts';

/** Frames as steps of time and values, and places to look at as shares of the whole. */
const streams = fc.record({
  frames: fc.array(
    fc.tuple(fc.double({ min: 1e-3, max: 2, noNaN: true }), fc.double({ min: -50, max: 50, noNaN: true })),
    {
      minLength: 1,
      maxLength: 90,
    },
  ),
  looks: fc.array(fc.double({ min: -0.1, max: 1.1, noNaN: true }), { minLength: 1, maxLength: 30 }),
});

describe('a stream in memory', () => {
  it('is the interpolant, to the last bit, in any order', () => {
    fc.assert(
      fc.property(streams, ({ frames, looks }) => {
        const stored = new StoredStream(1);
        let t_s = -1;
        const rows = frames.map(([step_s, value]) => ({
          t_s: (t_s += step_s),
          pose: [value, 2 * value, 0, 0, -value, 1] as const,
          joints: Float64Array.of(value / 3),
        }));
        for (const row of rows) stored.push(row);
        const a = new Float64Array(7);
        const b = new Float64Array(7);
        for (const look of looks) {
          const at_s = -1 + look * (t_s + 1);
          const passing = new Interpolant(1);
          for (const row of rows) passing.push(row);
          passing.end();
          passing.evaluate(at_s, a);
          stored.evaluate(at_s, b);
          expect([...b]).toEqual([...a]);
        }
      }),
    );
  });

  it('leaves alone what a stream leaves alone, and sees frames moved in time', () => {
    const stored = new StoredStream(1);
    for (const t_s of [0, 1, 2]) stored.pushRow(t_s, Float64Array.of(t_s, 0, 0, 0, 0, 0, NaN));
    const out = new Float64Array(7);
    stored.evaluate(1, out);
    expect([...out]).toEqual([1, 0, 0, 0, 0, 0, NaN]);
    stored.setTime(2, 4);
    stored.evaluate(4, out);
    expect(out[0]).toBe(2);
    // Secants 1 over 1 s and 1/3 over 3 s: the three-point slope at frame 1 is 5/6, and at the last frame 0 (Hermite).
    stored.evaluate(2.5, out);
    expect(out[0]).toBeCloseTo(1.5 + (3 * (5 / 6)) / 8, 12);
  });
});
