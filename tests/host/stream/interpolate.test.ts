import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Interpolant, limitedSlope } from '../../../host/stream/interpolate.ts';
import type { Frame } from '../../../host/stream/read.ts';

type Point = readonly [t_s: number, value: number];

const frame = ([t_s, value]: Point): Frame => ({
  t_s,
  pose: [value, -value, 0, 0, 0, 0],
  joints: Float64Array.of(2 * value, NaN),
});

/** Value and rate of the first component at times that increase, frames pushed only when they are needed. */
function sample(points: readonly Point[], times: readonly number[]): { values: number[]; slopes: number[] } {
  const curve = new Interpolant(2);
  const out = new Float64Array(curve.size);
  const slope = new Float64Array(curve.size);
  const values: number[] = [];
  const slopes: number[] = [];
  let next = 0;
  for (const t_s of times) {
    while (!curve.covers(t_s)) {
      if (next < points.length) curve.push(frame(points[next++]!));
      else curve.end();
    }
    curve.evaluate(t_s, out, slope);
    values.push(out[0]!);
    slopes.push(slope[0]!);
    const isEach = out[1] === -out[0]! && out[6] === 2 * out[0]! && Number.isNaN(out[7]);
    if (!isEach) throw new Error(`components mixed up: ${[...out].join(' ')}`);
  }
  return { values, slopes };
}

const range = (from: number, to: number, count: number): number[] =>
  Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));

/**
 * Radiochemical data RPN 14, the example of Fritsch & Carlson 1980 on which cubic splines overshoot (figures as quoted in public
 * test suites of interpolation codes; the paper itself was not at hand).
 */
const rpn14: Point[] = [
  [7.99, 0],
  [8.09, 2.76429e-5],
  [8.19, 4.37498e-2],
  [8.7, 0.169183],
  [9.2, 0.469428],
  [10, 0.94374],
  [12, 0.998636],
  [15, 0.999919],
  [20, 0.999994],
];

const points = fc
  .array(
    fc.tuple(
      fc.double({ min: 1e-3, max: 2, noNaN: true }),
      fc.integer({ min: -3000, max: 3000 }).map((n) => n / 64),
    ),
    {
      minLength: 2,
      maxLength: 12,
    },
  )
  .map((steps): Point[] => {
    let t_s = -1;
    return steps.map(([dt_s, value]) => [(t_s += dt_s), value]);
  });

describe('the slope at a frame', () => {
  it('is exact for a parabola on uneven steps, where the limit does not bind', () => {
    // p = t², frames at 1, 1.5, 2.5: p'(1.5) = 3.
    const slope = limitedSlope(0.5, (1.5 ** 2 - 1) / 0.5, 1, 2.5 ** 2 - 1.5 ** 2);
    expect(slope).toBeCloseTo(3, 14);
  });
  it('is 0 at an extremum and beside a rest', () => {
    expect(limitedSlope(1, 2, 1, -3)).toBe(0);
    expect(limitedSlope(1, 0, 1, 5)).toBe(0);
  });
  it('is at most three times the smaller secant, in its direction', () => {
    expect(limitedSlope(1, 1, 1, 100)).toBe(3);
    expect(limitedSlope(1, -100, 1, -1)).toBe(-3);
  });
});

describe('the curve', () => {
  it('is the one of SciPy 1.17.1, given the slopes of the definition', () => {
    // scipy.interpolate.CubicHermiteSpline(t, p, m) with t = 0 .1 .3 .4 .7, p = 0 1 1.5 4 3 and m = 0 7.5 7.5 0 0: by hand,
    // at .1 (.2·10 + .1·2.5)/.3 = 7.5 (limit 3·2.5); at .3 (.1·2.5 + .2·25)/.3 = 17.5, limited to 7.5; at .4 a peak.
    const data: Point[] = [
      [0, 0],
      [0.1, 1],
      [0.3, 1.5],
      [0.4, 4],
      [0.7, 3],
    ];
    const { values, slopes } = sample(data, [0.05, 0.15, 0.22, 0.37, 0.55]);
    const expectedValues = [0.4062500000000001, 1.21875, 1.252, 3.507249999999999, 3.5];
    const expectedSlopes = [
      13.124999999999998, 1.8749999999999996, 0.29999999999999893, 29.025000000000006, -5.000000000000003,
    ];
    values.forEach((value, i) => expect(value).toBeCloseTo(expectedValues[i]!, 12));
    slopes.forEach((slope, i) => expect(slope).toBeCloseTo(expectedSlopes[i]!, 11));
  });

  it('passes through every frame exactly', () => {
    fc.assert(
      fc.property(points, (data) => {
        const { values } = sample(
          data,
          data.map(([t_s]) => t_s),
        );
        expect(values).toEqual(data.map(([, value]) => value));
      }),
    );
  });

  it('stays between neighbouring frames, and is monotone between them', () => {
    fc.assert(
      fc.property(points, (data) => {
        for (let i = 0; i + 1 < data.length; i += 1) {
          const [t0, p0] = data[i]!;
          const [t1, p1] = data[i + 1]!;
          const { values, slopes } = sample(data, range(t0, t1, 30).slice(0, -1));
          const eps = 1e-12 * (Math.abs(p0) + Math.abs(p1) + 1);
          expect(Math.min(...values)).toBeGreaterThanOrEqual(Math.min(p0, p1) - eps);
          expect(Math.max(...values)).toBeLessThanOrEqual(Math.max(p0, p1) + eps);
          const forward = slopes.map((slope) => slope * Math.sign(p1 - p0));
          expect(Math.min(...forward)).toBeGreaterThanOrEqual(-eps / (t1 - t0));
        }
      }),
    );
  });

  it('is monotone on the data of Fritsch & Carlson', () => {
    const { values } = sample(rpn14, range(7.99, 20, 5000));
    for (let i = 1; i < values.length; i += 1) expect(values[i]! - values[i - 1]!).toBeGreaterThanOrEqual(-1e-15);
    expect(Math.max(...values)).toBeLessThanOrEqual(0.999994);
  });

  it('has a continuous slope, and that slope is its rate', () => {
    fc.assert(
      fc.property(points, (data) => {
        for (const [t_s] of data.slice(1, -1)) {
          const steepest = Math.max(
            ...data.slice(1).map(([t, p], i) => Math.abs((p - data[i]![1]) / (t - data[i]![0]))),
          );
          const { slopes } = sample(data, [t_s - 1e-12, t_s]);
          // A cubic's second derivative is at most 6 · 4 secants over the length, which is at least 1e-3 s.
          expect(Math.abs(slopes[1]! - slopes[0]!)).toBeLessThanOrEqual(1e-7 * steepest + 1e-9);
        }
      }),
    );
    const times = range(8, 19.9, 400);
    const d = 1e-6;
    for (const t_s of times) {
      const { values, slopes } = sample(rpn14, [t_s - d, t_s, t_s + d]);
      expect(slopes[1]).toBeCloseTo((values[2]! - values[0]!) / (2 * d), 4);
    }
  });

  it('is a straight line where the frames are, but for the first and the last interval', () => {
    const data = [0, 0.3, 0.5, 1.1, 1.2, 2].map((t_s): Point => [t_s, 3 - 7 * t_s]);
    const times = range(0.3, 1.2, 100);
    const { values, slopes } = sample(data, times);
    times.forEach((t_s, i) => {
      expect(values[i]).toBeCloseTo(3 - 7 * t_s, 13);
      expect(slopes[i]).toBeCloseTo(-7, 12);
    });
  });

  it('starts and ends at rest, and holds before and after', () => {
    const data: Point[] = [
      [1, 5],
      [2, 6],
      [3, 9],
    ];
    const { values, slopes } = sample(data, [-3, 1, 2.999999999, 3, 50]);
    expect([values[0], values[1], values[3], values[4]]).toEqual([5, 5, 9, 9]);
    expect([slopes[0], slopes[1], slopes[3], slopes[4]]).toEqual([0, 0, 0, 0]);
    expect(slopes[2]).toBeCloseTo(0, 6);
  });

  it('converges with third order on a sine where it is monotone', () => {
    // Three-point slopes are off by O(h²), so the cubic by O(h³): C. de Boor, A Practical Guide to Splines, ch. IV (from memory).
    const worst = (step_s: number): number => {
      const data = range(-0.2, 1.4, Math.round(1.6 / step_s) + 1).map((t_s): Point => [t_s, Math.sin(t_s)]);
      const times = range(0, 1.2, 997);
      return Math.max(...sample(data, times).values.map((value, i) => Math.abs(value - Math.sin(times[i]!))));
    };
    const order = Math.log2(worst(0.02) / worst(0.01));
    expect(order).toBeGreaterThan(2.8);
    expect(worst(0.01)).toBeLessThan(1e-7);
  });
});

describe('the cursor', () => {
  it('may be fed far ahead, or just in time, with the same result', () => {
    const data = range(0, 4, 200).map((t_s): Point => [t_s, Math.sin(3 * t_s)]);
    const times = range(-0.5, 5, 997);
    const late = sample(data, times);
    const early = new Interpolant(2);
    data.forEach((point) => early.push(frame(point)));
    early.end();
    const out = new Float64Array(early.size);
    times.forEach((t_s, i) => {
      early.evaluate(t_s, out);
      expect(out[0]).toBe(late.values[i]);
    });
  });

  it('needs two frames beyond a time, or the end', () => {
    const curve = new Interpolant(2);
    expect(curve.covers(0)).toBe(false);
    curve.push(frame([1, 1]));
    expect([curve.covers(0.9), curve.covers(1)]).toEqual([true, false]);
    curve.push(frame([2, 2]));
    expect([curve.covers(0.9), curve.covers(1)]).toEqual([true, false]);
    curve.push(frame([3, 3]));
    expect([curve.covers(1.9), curve.covers(2)]).toEqual([true, false]);
    curve.end();
    expect(curve.covers(99)).toBe(true);
  });

  it('skips intervals, holds a single frame, is home without any', () => {
    const data = range(0, 10, 11).map((t_s): Point => [t_s, t_s * t_s]);
    expect(sample(data, [0.5, 8]).values[1]).toBe(64);
    expect(sample([[3, 7]], [0, 3, 9]).values).toEqual([7, 7, 7]);
    const empty = new Interpolant(1);
    empty.end();
    const out = new Float64Array(7).fill(1);
    empty.evaluate(5, out);
    expect([...out]).toEqual([0, 0, 0, 0, 0, 0, NaN]);
  });

  it('throws when it is misused: before its frames came, or back in time', () => {
    const curve = new Interpolant(2);
    const out = new Float64Array(curve.size);
    expect(() => curve.evaluate(0, out)).toThrow(/before its frames/);
    curve.end();
    curve.evaluate(1, out);
    expect(() => curve.evaluate(0.5, out)).toThrow(/after 1 s/);
  });
});
