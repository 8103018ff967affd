/** Envelopes (lowest and highest value by time bucket) as SVG paths: a filled band, or an outline; NaN leaves a gap. */
import { extent, range } from 'd3-array';
import { area, line } from 'd3-shape';
import type { EnvelopeData } from '../../replay/result.ts';

type Scale = (value: number) => number;

const lowest = (values: Float64Array): number => extent(values)[0] ?? NaN;
const highest = (values: Float64Array): number => extent(values)[1] ?? NaN;

/** Lowest and highest value of all; NaN where there is none. */
export const reach = (data: EnvelopeData): readonly [number, number] => [lowest(data.lo), highest(data.hi)];

/** The same envelope in at most `most` buckets: empty ones at the end are left off, neighbours merged, no peak lost. */
export function coarser(data: EnvelopeData, most: number): EnvelopeData {
  const used = data.hi.findLastIndex((value) => Number.isFinite(value)) + 1;
  const merge = Math.max(1, Math.ceil(used / most));
  const starts = range(0, used, merge);
  return {
    bucket_s: data.bucket_s * merge,
    lo: Float64Array.from(starts, (i) => lowest(data.lo.subarray(i, i + merge))),
    hi: Float64Array.from(starts, (i) => highest(data.hi.subarray(i, i + merge))),
  };
}

const buckets = (data: EnvelopeData): number[] => range(data.lo.length);
const at = (values: Float64Array, i: number): number => values[i] ?? NaN;
const middle =
  (data: EnvelopeData, x: Scale): Scale =>
  (i) =>
    x((i + 0.5) * data.bucket_s);

/** The area between lowest and highest. Stroke it too: then it stays a line where the two meet. */
export function bandPath(data: EnvelopeData, x: Scale, y: Scale): string {
  const path = area<number>()
    .defined((i) => Number.isFinite(at(data.lo, i)) && Number.isFinite(at(data.hi, i)))
    .x(middle(data, x))
    .y0((i) => y(at(data.lo, i)))
    .y1((i) => y(at(data.hi, i)))
    .digits(1);
  return path(buckets(data)) ?? '';
}

/** The upper edge throughout, and the lower one only where it lies more than a pixel below: thin motion is one line. */
export function outlinePath(data: EnvelopeData, x: Scale, y: Scale): string {
  const apart = (i: number): boolean => y(at(data.lo, i)) - y(at(data.hi, i)) > 1;
  const edge = line<number>().x(middle(data, x)).digits(1);
  const upper = edge.defined((i) => Number.isFinite(at(data.hi, i))).y((i) => y(at(data.hi, i)))(buckets(data));
  const lower = edge.defined((i) => apart(i)).y((i) => y(at(data.lo, i)))(buckets(data));
  return (upper ?? '') + (lower ?? '');
}
