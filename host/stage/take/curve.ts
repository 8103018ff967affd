/**
 * Curves through keys: a piecewise cubic that never overshoots a key, at rest at its ends (host/stream/interpolate.ts has the
 * formula and its source), and keys from a recording.
 */
import { limitedSlope } from '../../stream/interpolate.ts';
import { FRAME_HZ, type Key } from './take.ts';

const secant = (a: Key, b: Key): number => (b.value - a.value) / (b.t_s - a.t_s);

/** Slope at key n, in units of the value a second. */
function slopeAt(keys: readonly Key[], n: number): number {
  const [before, here, after] = [keys[n - 1], keys[n]!, keys[n + 1]];
  if (!before || !after) return 0;
  return limitedSlope(here.t_s - before.t_s, secant(before, here), after.t_s - here.t_s, secant(here, after));
}

/** The last key at or before t_s; -1: none. */
export function keyBefore(keys: readonly Key[], t_s: number): number {
  let [lo, hi] = [0, keys.length];
  while (lo < hi) {
    const middle = (lo + hi) >> 1;
    if (keys[middle]!.t_s <= t_s) lo = middle + 1;
    else hi = middle;
  }
  return lo - 1;
}

/** The curve's value at t_s; its first before it begins, its last after it ends. NaN without keys. */
export function valueAt(keys: readonly Key[], t_s: number): number {
  const n = keyBefore(keys, t_s);
  const [from, to] = [keys[n], keys[n + 1]];
  if (!from) return to?.value ?? NaN;
  return to ? pieceAt(keys, n)(t_s) : from.value;
}

/** The curve from key n to the next, as a function of the instant. */
function pieceAt(keys: readonly Key[], n: number): (t_s: number) => number {
  const [from, to] = [keys[n]!, keys[n + 1]!];
  const length_s = to.t_s - from.t_s;
  const [m0, m1, slope] = [slopeAt(keys, n), slopeAt(keys, n + 1), secant(from, to)];
  return (t_s) => {
    const since_s = t_s - from.t_s;
    const u = since_s / length_s;
    return from.value + since_s * (m0 + u * (3 * slope - 2 * m0 - m1 + u * (m0 + m1 - 2 * slope)));
  };
}

/** The curve at every frame of so many seconds, its ends included: as valueAt has it, each piece made once. */
export function samplesOf(keys: readonly Key[], seconds: number): Float64Array {
  let at = -1;
  let piece: ((t_s: number) => number) | null = null;
  return Float64Array.from({ length: Math.round(seconds * FRAME_HZ) + 1 }, (_, n) => {
    const t_s = n / FRAME_HZ;
    const before = at;
    while (at + 1 < keys.length && keys[at + 1]!.t_s <= t_s) at++;
    if (at !== before) piece = at + 1 < keys.length ? pieceAt(keys, at) : null;
    return piece ? piece(t_s) : (keys[Math.max(0, at)]?.value ?? NaN);
  });
}

/**
 * Keys whose curve stays within `tolerance` of the samples: the sample that is missed by most becomes a key, until none is missed
 * by more (in the manner of D. Douglas, T. Peucker, Cartographica 10(2), 1973, with the curve in the place of the straight line).
 * @param from_s the instant of the first sample
 */
export function keysThrough(samples: ArrayLike<number>, from_s: number, tolerance: number): Key[] {
  const last = samples.length - 1;
  if (last < 0) return [];
  const key = (n: number): Key => ({ t_s: timeOf(from_s, n), value: samples[n]! });
  if (last === 0) return [key(0)];
  let numbers = [0, last];
  let fresh = new Set(numbers);
  for (;;) {
    const keys = numbers.map(key);
    // A piece is what the keys at its ends and the next beyond them make it: without a new one among them it stands.
    const isStale = (i: number): boolean => [-1, 0, 1, 2].some((by) => fresh.has(numbers[i + by] ?? NaN));
    const missed = numbers.slice(1).flatMap((end, i) => {
      return isStale(i) ? worstBetween(samples, pieceAt(keys, i), numbers[i]!, end, from_s, tolerance) : [];
    });
    if (missed.length === 0) return keys;
    fresh = new Set(missed);
    numbers = [...numbers, ...missed].sort((a, b) => a - b);
  }
}

/** To the microsecond, as files have it. */
const timeOf = (from_s: number, n: number): number => Math.round((from_s + n / FRAME_HZ) * 1e6) / 1e6;

/** The sample between two keys that the curve misses by most; none when all are within the tolerance. */
function worstBetween(
  samples: ArrayLike<number>,
  curve: (t_s: number) => number,
  from: number,
  to: number,
  from_s: number,
  tolerance: number,
): number[] {
  let [worst, most] = [-1, tolerance];
  for (let n = from + 1; n < to; n++) {
    const miss = Math.abs(samples[n]! - curve(timeOf(from_s, n)));
    if (miss > most) [worst, most] = [n, miss];
  }
  return worst < 0 ? [] : [worst];
}

/**
 * The keys with more of them between two instants, until the curve is within `tolerance` of what is wanted at every frame there.
 * @param want the value at an instant; null: nothing is wanted there
 */
export function refined(
  keys: readonly Key[],
  want: (t_s: number) => number | null,
  from_s: number,
  to_s: number,
  tolerance: number,
): Key[] {
  let now = [...keys];
  for (;;) {
    const missed = worstFrames(now, want, from_s, to_s, tolerance);
    if (missed.length === 0) return now;
    now = [...now, ...missed].sort((a, b) => a.t_s - b.t_s);
  }
}

/** Of every stretch between two keys the frame that is missed by most. */
function worstFrames(
  keys: readonly Key[],
  want: (t_s: number) => number | null,
  from_s: number,
  to_s: number,
  tolerance: number,
): Key[] {
  const worst = new Map<number, { readonly key: Key; readonly miss: number }>();
  for (let n = Math.ceil(from_s * FRAME_HZ - 1e-6); n <= to_s * FRAME_HZ + 1e-6; n++) {
    const t_s = timeOf(0, n);
    const value = want(t_s);
    if (value === null) continue;
    const miss = Math.abs(value - valueAt(keys, t_s));
    const at = keyBefore(keys, t_s);
    if (miss > (worst.get(at)?.miss ?? tolerance) && !isKey(keys, at, t_s))
      worst.set(at, { key: { t_s, value }, miss });
  }
  return [...worst.values()].map(({ key }) => key);
}

/** Whether a key stands there, or as near as makes no difference. */
const isKey = (keys: readonly Key[], at: number, t_s: number): boolean =>
  [keys[at], keys[at + 1]].some((key) => key !== undefined && Math.abs(key.t_s - t_s) < 1e-4);
