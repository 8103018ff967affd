import { describe, expect, test } from 'vitest';
import { countPeaks, speedsOf } from '../../../host/stream/speed-peaks.ts';

describe('peaks of speed', () => {
  test('one hump is one peak, however flat its top', () => {
    expect(countPeaks([0, 1, 5, 5, 5, 1, 0], 0.5)).toBe(1);
  });

  test('what rises again by the prominence is a second peak; by less, it is none', () => {
    expect(countPeaks([0, 10, 4, 10, 0], 1)).toBe(2);
    expect(countPeaks([0, 10, 9.5, 10, 0], 1)).toBe(1);
  });

  test('still rising at the end counts, standing still does not', () => {
    expect(countPeaks([0, 1, 2, 3], 0.5)).toBe(1);
    expect(countPeaks([2, 2, 2], 0.5)).toBe(0);
    expect(countPeaks([], 0.5)).toBe(0);
  });

  test('a sine of 1 Hz has two peaks of speed in every period', () => {
    const speeds = speedsOf((t_s) => 10 * Math.sin(2 * Math.PI * t_s), 0, 5);
    expect(speeds).toHaveLength(250);
    expect(Math.max(...speeds)).toBeCloseTo(20 * Math.PI, 0);
    // It begins at full speed: the peak there has fallen only, and is not told from a start.
    expect(countPeaks(speeds, 0.1 * Math.max(...speeds))).toBe(10);
  });
});
