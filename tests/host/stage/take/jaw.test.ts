/** A jaw from loudness: it opens with the voice, not with a hum or a hiss, and stays within its limits. */
import { expect, it } from 'vitest';
import {
  USUAL_JAW,
  jawColumn,
  lateFromFilm,
  loudness,
  openness,
  stressMoves,
  stresses,
} from '../../../../host/stage/take/jaw.ts';

const RATE_HZ = 16_000;
const tone = (hz: number, from_s: number, to_s: number, size = 0.5): Float32Array =>
  Float32Array.from({ length: 2 * RATE_HZ }, (_, n) =>
    n / RATE_HZ >= from_s && n / RATE_HZ < to_s ? size * Math.sin((2 * Math.PI * hz * n) / RATE_HZ) : 0,
  );

it('opens while a voice sounds and shuts after it, within two frames of the attack', () => {
  const open = openness(loudness(tone(400, 0.5, 1), RATE_HZ, USUAL_JAW), USUAL_JAW);
  expect(Math.max(...open.subarray(0, 24))).toBe(0);
  expect(open[27]).toBeGreaterThan(0.5);
  expect(open[45]).toBeGreaterThan(0.95);
  expect(open[80]).toBeLessThan(0.05);
});

it('hears a sine as loud as it is: root mean square, size over the root of two', () => {
  // Within the band's droop at 700 Hz.
  expect(loudness(tone(700, 0, 2), RATE_HZ, USUAL_JAW)[50]! / (0.5 / Math.SQRT2)).toBeGreaterThan(0.9);
});

it('hears less of a hum and of a hiss than of a voice', () => {
  const at = (hz: number): number => loudness(tone(hz, 0, 2), RATE_HZ, USUAL_JAW)[50]!;
  expect(at(25) / at(700)).toBeLessThan(0.1);
  expect(loudness(tone(18_000, 0, 2), 48_000, USUAL_JAW)[10]! / at(700)).toBeLessThan(0.35);
});

it('silence leaves it shut, and no gain drives it past its limits', () => {
  expect(openness(new Float64Array(50), USUAL_JAW).every((share) => share === 0)).toBe(true);
  const loud = { ...USUAL_JAW, gain: 50 };
  const column = jawColumn(openness(loudness(tone(400, 0, 2), RATE_HZ, loud), loud), -2, 18);
  expect(Math.max(...column)).toBeLessThanOrEqual(18);
  expect(Math.min(...column)).toBeGreaterThanOrEqual(-2);
});

it('finds the stressed syllable', () => {
  const loud = Float64Array.from(
    { length: 100 },
    (_, n) => Math.exp(-(((n - 30) / 5) ** 2)) + 0.4 * Math.exp(-(((n - 70) / 5) ** 2)),
  );
  expect(stresses(loud)).toEqual([30]);
});

it('hears a weaker stress too, where it may', () => {
  const loud = Float64Array.from(
    { length: 100 },
    (_, n) => Math.exp(-(((n - 30) / 5) ** 2)) + 0.4 * Math.exp(-(((n - 70) / 5) ** 2)),
  );
  expect(stresses(loud, 0.3)).toEqual([30, 70]);
});

it('moves there and back at a stress: nothing at its ends, half way at a quarter, all at the stress', () => {
  const loud = Float64Array.from({ length: 100 }, (_, n) => Math.exp(-(((n - 40) / 5) ** 2)));
  const moves = stressMoves(loud, 0.6, 0.4);
  expect([...moves.subarray(0, 31)].every((share) => share < 1e-12)).toBe(true);
  expect(moves[35]).toBeCloseTo(0.5, 12);
  expect(moves[40]).toBe(1);
  expect(moves[45]).toBeCloseTo(0.5, 12);
  expect(moves[51]).toBe(0);
});

it('says how late from two frames of a film: 3 frames at 30 a second are 100 ms', () => {
  expect(lateFromFilm(120, 123, 30)).toBe(100);
  expect(lateFromFilm(123, 120, 30)).toBe(-100);
  expect(lateFromFilm(1, 2, 0)).toBeNull();
});
