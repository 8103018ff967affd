import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { describe, expect, it } from 'vitest';
import { ShakeWatch } from '../../../host/stream/shaking.ts';
import { lowPass, smoothStream } from '../../../host/stream/smooth.ts';
import { StoredStream } from '../../../host/stream/stored.ts';

const HZ = 120;
const sine = (hz: number, seconds: number): Float64Array =>
  Float64Array.from({ length: seconds * HZ }, (_, k) => Math.sin((2 * Math.PI * hz * k) / HZ));
/** Largest size away from the ends. */
const size = (values: Float64Array): number => Math.max(...values.slice(2 * HZ, -2 * HZ).map(Math.abs));

const streamOf = (times: readonly number[], yaw: (t_s: number) => number): StoredStream => {
  const stream = new StoredStream(1);
  for (const t_s of times) stream.pushRow(t_s, Float64Array.of(0, 0, 0, 0, 0, yaw(t_s), NaN));
  return stream;
};
const even = (seconds: number, hz: number): number[] => Array.from({ length: seconds * hz + 1 }, (_, k) => k / hz);

describe('low-pass', () => {
  // |H|² of a second-order Butterworth filter by the bilinear transform: 1/(1 + (tan(πf/fs)/w)⁴); two passes: |H|² is the gain.
  const gain = (hz: number, cutoff_hz: number): number => {
    const w = Math.tan((Math.PI * cutoff_hz) / HZ) / (Math.SQRT2 - 1) ** 0.25;
    return 1 / (1 + (Math.tan((Math.PI * hz) / HZ) / w) ** 4);
  };

  it.each([1, 3, 6, 10, 20])('has the gain of its transfer function at %d Hz', (hz) => {
    expect(size(lowPass(sine(hz, 12), 6, 1 / HZ))).toBeCloseTo(gain(hz, 6), 2);
  });

  it('has -3 dB at the cut-off, both passes together', () => {
    expect(size(lowPass(sine(6, 12), 6, 1 / HZ))).toBeCloseTo(Math.SQRT1_2, 2);
  });

  it('delays nothing: a sine keeps its phase', () => {
    const [slow, low] = [sine(2, 8), lowPass(sine(2, 8), 6, 1 / HZ)];
    const middle = slow.subarray(2 * HZ, -2 * HZ);
    const along = middle.reduce((sum, x, k) => sum + x * low[2 * HZ + k]!, 0);
    const across = middle.reduce(
      (sum, _, k) => sum + low[2 * HZ + k]! * Math.cos((4 * Math.PI * (2 * HZ + k)) / HZ),
      0,
    );
    expect(Math.abs(across / along)).toBeLessThan(1e-3);
  });

  it('keeps straight lines and both ends where they are', () => {
    const line = Float64Array.from({ length: 200 }, (_, k) => 3 + 0.1 * k);
    lowPass(line, 3, 1 / HZ).forEach((y, k) => {
      expect(y).toBeCloseTo(line[k]!, 2);
    });
    const jump = Float64Array.from({ length: 300 }, (_, k) => (k < 150 ? 0 : 1) + 0.01 * Math.sin(k));
    const low = lowPass(jump, 3, 1 / HZ);
    expect(Math.abs(low[0]! - jump[0]!)).toBeLessThan(0.005);
    expect(Math.abs(low.at(-1)! - jump.at(-1)!)).toBeLessThan(0.005);
  });
});

describe('a stream smoothed', () => {
  it('keeps its times, its missing columns, and tells the root mean square of what it took', () => {
    const times = even(10, HZ).map((t_s) => Math.round(t_s * 1e5) / 1e5);
    const noisy = streamOf(times, (t_s) => Math.sin(2 * t_s) + 0.1 * Math.sin(2 * Math.PI * 40 * t_s));
    const { stream, residual, cutoff_hz } = smoothStream(noisy, 6);
    expect(cutoff_hz).toBe(6);
    expect(stream.count).toBe(times.length);
    expect(times.map((_, f) => stream.time(f))).toEqual(times);
    expect(stream.row(5)[6]).toBeNaN();
    // A sine of size 0.1 has a root mean square of 0.0707, and 6 Hz leaves next to nothing of 40.
    expect(residual[5]).toBeCloseTo(0.1 * Math.SQRT1_2, 3);
    expect(residual[0]).toBe(0);
  });

  it('lays uneven frames on an even grid of their usual interval', () => {
    const times = even(4, 50).filter((_, k) => k % 7 !== 3);
    const { stream } = smoothStream(
      streamOf(times, (t_s) => Math.sin(t_s)),
      6,
    );
    expect(stream.count).toBe(201);
    expect(stream.time(200)).toBe(4);
    for (let f = 0; f < 201; f++) expect(stream.row(f)[5]).toBeCloseTo(Math.sin(stream.time(f)), 2);
  });

  it('costs nothing for a long time without frames, and smooths either side by itself', () => {
    const times = [...even(2, 50), ...even(2, 50).map((t_s) => t_s + 1000)];
    const { stream } = smoothStream(
      streamOf(times, (t_s) => (t_s < 500 ? 0 : 1)),
      6,
    );
    expect(stream.count).toBe(times.length);
    expect(stream.row(100)[5]).toBe(0);
    expect(stream.row(101)[5]).toBe(1);
  });

  it('takes a lower cut-off where the frames are too few for it', () => {
    expect(smoothStream(streamOf(even(4, 10), Math.sin), 6).cutoff_hz).toBeCloseTo(4.5, 6);
  });

  it('leaves one or two frames as they are', () => {
    for (const times of [[1], [1, 2]])
      expect(smoothStream(streamOf(times, Math.sin), 6).stream.row(0)[5]).toBe(Math.sin(1));
  });
});

describe('what shakes', () => {
  const shakes = (values: (k: number) => number, time = (k: number): number => k / HZ): number[] => {
    const watch = new ShakeWatch(1);
    for (let k = 0; k < 600; k++) watch.add(time(k), [values(k)]);
    return watch.found();
  };
  const random = xoroshiro128plus(7);
  const noise = (): number => uniformFloat64(random) - 0.5;

  it('is noise on a motion, of any size, once it outweighs the motion’s own bends', () => {
    expect(shakes(noise)).toEqual([0]);
    expect(shakes((k) => 20 * Math.sin(k / 40) + 0.1 * noise())).toEqual([0]);
    expect(shakes(() => 1e-6 * noise())).toEqual([0]);
  });

  it('is not a smooth motion, a blink of straight strokes, or a line', () => {
    expect(shakes((k) => 20 * Math.sin(k / 4))).toEqual([]);
    expect(shakes((k) => Math.max(0, 10 - Math.abs((k % 60) - 30)))).toEqual([]);
    expect(shakes((k) => 0.1 * k)).toEqual([]);
    expect(shakes((k) => Math.round(1234.567 * k) / 1e4)).toEqual([]);
    expect(shakes(() => NaN)).toEqual([]);
  });

  it('is not told of frames that are not evenly spaced, nor of a few', () => {
    expect(shakes(noise, (k) => k / HZ + (k % 2) / (3 * HZ))).toEqual([]);
    const watch = new ShakeWatch(1);
    for (let k = 0; k < 30; k++) watch.add(k / HZ, [noise()]);
    expect(watch.found()).toEqual([]);
  });
});
