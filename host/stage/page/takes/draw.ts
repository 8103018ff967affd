/** Curves as paths of an SVG that is WIDE across: pure, state in, path out. */
import { valueAt } from '../../take/curve.ts';
import type { Key } from '../../take/take.ts';
import { type Span, WIDE } from './view.ts';

/** Points across the width. */
const POINTS = 400;

export interface Scale {
  readonly least: number;
  readonly most: number;
  readonly high: number;
}

/** Room for all of these values, and for zero. */
export function scaleOf(values: Iterable<number>, high: number): Scale {
  let [least, most] = [-1, 1];
  for (const value of values) {
    if (value < least) least = value;
    if (value > most) most = value;
  }
  const room = 0.12 * (most - least);
  return { least: least - room, most: most + room, high };
}

export const yOf = (value: number, { least, most, high }: Scale): number =>
  high * (1 - (value - least) / (most - least));
export const valueOf = (y: number, { least, most, high }: Scale): number => least + (1 - y / high) * (most - least);

const pathOf = (points: readonly (readonly [number, number])[]): string =>
  points.map(([x, y], n) => `${n === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(2)}`).join('');

/** The curve over a span. */
export function curvePath(keys: readonly Key[], { from_s, to_s }: Span, scale: Scale): string {
  if (keys.length === 0) return '';
  const at = (n: number): number => from_s + (n / POINTS) * (to_s - from_s);
  return pathOf(Array.from({ length: POINTS + 1 }, (_, n) => [(n / POINTS) * WIDE, yOf(valueAt(keys, at(n)), scale)]));
}

/** Samples at 50 frames a second over a span. */
export function samplesPath(samples: Float64Array, { from_s, to_s }: Span, scale: Scale): string {
  const every = Math.max(1, Math.floor(((to_s - from_s) * 50) / POINTS));
  const points: [number, number][] = [];
  for (let n = Math.floor(from_s * 50); n <= Math.min(samples.length - 1, to_s * 50); n += every)
    points.push([((n / 50 - from_s) / (to_s - from_s)) * WIDE, yOf(samples[n]!, scale)]);
  return pathOf(points);
}

/** Points of time and value, [s, unit], over a span. */
export const pointsPath = (
  points: readonly (readonly [number, number])[],
  { from_s, to_s }: Span,
  scale: Scale,
): string => pathOf(points.map(([t_s, value]) => [((t_s - from_s) / (to_s - from_s)) * WIDE, yOf(value, scale)]));

/**
 * Where words stand beside each other: each at its place, at the right edge a little before it, or nowhere (null) where another has
 * the room: the one before it, or the one that is wanted.
 * @param words in the order of their places; px
 * @param wanted its number; -1: none
 */
export function fitting(
  words: readonly { readonly at: number; readonly width: number }[],
  room: number,
  wanted: number,
): readonly (number | null)[] {
  const held = words.map(({ at, width }) => ({ from: Math.min(at, room - width), to: Math.min(at + width, room) }));
  const kept = held[wanted];
  let free = 0;
  return held.map(({ from, to }, n) => {
    const isInTheWay = kept !== undefined && n !== wanted && from < kept.to && to > kept.from;
    if (n !== wanted && (from < free || isInTheWay)) return null;
    free = to;
    return from;
  });
}

/** The wave's outline over so many pixels: by pixel the least and the most, -1 to 1. */
export function waveOf(
  audio: Float32Array,
  rate_hz: number,
  at_s: number,
  { from_s, to_s }: Span,
  pixels: number,
): Float32Array {
  const out = new Float32Array(2 * pixels);
  const sample = (pixel: number): number => Math.round((from_s - at_s + (pixel / pixels) * (to_s - from_s)) * rate_hz);
  for (let p = 0; p < pixels; p++) {
    const [first, last] = [Math.max(0, sample(p)), Math.min(audio.length, sample(p + 1))];
    // A few hundred of them show the outline as well as all.
    const every = Math.max(1, Math.floor((last - first) / 200));
    for (let n = first; n < last; n += every) {
      if (audio[n]! < out[2 * p]!) out[2 * p] = audio[n]!;
      if (audio[n]! > out[2 * p + 1]!) out[2 * p + 1] = audio[n]!;
    }
  }
  return out;
}
