/**
 * The torque that a motion needs beside the torque its servo has at that speed, over time; hatched where it is short. Both are
 * drawn as magnitudes: which way a servo pushes does not matter to what it has left.
 */
import { scaleLinear } from 'd3-scale';
import { area, line } from 'd3-shape';
import type { TorqueTrace } from '../replay/result.ts';
import { number } from './figures.ts';
import type { Markup } from './markup.ts';
import { markup } from './markup.ts';
import { label, path } from './svg.ts';

/** N·m or N by instants, s. */
export interface TorqueSeries {
  readonly unit: string;
  readonly at_s: readonly number[];
  readonly needed: readonly number[];
  readonly available: readonly number[];
}

const WIDTH = 620;
const HEIGHT = 190;
const [LEFT, RIGHT, TOP, BOTTOM] = [48, WIDTH - 10, 26, HEIGHT - 36];
/** A stretch this long shows a move of a fraction of a second. */
const WINDOW_S = 2.4;

/** The trace as magnitudes: of each bucket the most that is needed, the least that is there. */
export function seriesOf({ unit, needed, available }: TorqueTrace): TorqueSeries {
  const at: number[] = [];
  const need: number[] = [];
  const have: number[] = [];
  needed.hi.forEach((hi, i) => {
    const lo = needed.lo[i]!;
    const most = Math.max(Math.abs(lo), Math.abs(hi));
    const least = Math.min(Math.abs(available.lo[i] ?? NaN), Math.abs(available.hi[i] ?? NaN));
    if (Number.isNaN(most) || Number.isNaN(least)) return;
    at.push((i + 0.5) * needed.bucket_s);
    need.push(most);
    have.push(least);
  });
  return { unit, at_s: at, needed: need, available: have };
}

/** When it is shortest of torque: the largest share needed. 0 for an empty series. */
export function shortestAt({ at_s, needed, available }: TorqueSeries): number {
  let [found, worst] = [0, -1];
  at_s.forEach((at, i) => {
    const share = needed[i]! / Math.max(available[i]!, 1e-9);
    if (share > worst) [found, worst] = [at, share];
  });
  return found;
}

/** The largest figure of several series: a scale for all of them. */
export const topOf = (series: readonly TorqueSeries[]): number =>
  Math.max(1e-6, ...series.flatMap(({ needed, available }) => [...needed, ...available]));

/** Some seconds around an instant of a stream that ends at end_s. */
export function windowAround(at_s: number, end_s: number): readonly [number, number] {
  if (end_s <= WINDOW_S) return [0, end_s];
  const from = Math.min(Math.max(0, at_s - WINDOW_S / 2), end_s - WINDOW_S);
  return [from, from + WINDOW_S];
}

/** The chart as an SVG element; `id` makes its hatching its own on the page. */
export function torqueChart(
  { id, title, top, span: [from_s, to_s] }: { id: string; title: string; top: number; span: readonly [number, number] },
  { unit, at_s, needed, available }: TorqueSeries,
): Markup {
  const x = scaleLinear([from_s, to_s], [LEFT, RIGHT]);
  const y = scaleLinear([0, top * 1.06], [BOTTOM, TOP]);
  const inside = at_s.map((_, i) => i).filter((i) => at_s[i]! >= from_s && at_s[i]! <= to_s);
  const at = (i: number): number => x(at_s[i]!);
  const need = area<number>()
    .x(at)
    .y0(BOTTOM)
    .y1((i) => y(needed[i]!))
    .digits(1);
  const have = line<number>()
    .x(at)
    .y((i) => y(available[i]!))
    .digits(1);
  const short = area<number>()
    .x(at)
    .y0((i) => y(Math.min(available[i]!, needed[i]!)))
    .y1((i) => y(needed[i]!))
    .digits(1);
  const ticks = y.ticks(4).map((t) => {
    const height = y(t);
    return markup`${path(t === 0 ? 'axis' : 'grid', `M${LEFT} ${height.toFixed(1)}H${RIGHT}`)}${label(number(t, top < 4 ? 1 : 0), LEFT - 6, height + 4, 'end', '')}`;
  });
  const times = x.ticks(8).map((t) => label(number(t, to_s - from_s < 6 ? 1 : 0), x(t), BOTTOM + 16, 'middle', ''));
  return markup`<svg class="chart torque" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${title}: torque needed and available in ${unit}">
    <defs><pattern id="${id}" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="hatch" width="2.6" height="6"/></pattern></defs>
    ${label(`${title}, ${unit}`, 2, 14, 'start', 'name')}${label('solid: needed; dashed: what the servo has; hatched: short', RIGHT, 14, 'end')}
    ${ticks}${path('needed', need(inside) ?? '')}
    <path fill="url(#${id})" d="${short(inside) ?? ''}"/>${path('has', have(inside) ?? '')}
    ${times}${label('time, s', (LEFT + RIGHT) / 2, HEIGHT - 4, 'middle')}
  </svg>`;
}
