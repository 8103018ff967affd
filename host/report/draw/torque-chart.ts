/**
 * The torque that a motion needs beside the torque its servo has at that speed, over time; hatched where it is short. Both are
 * drawn as magnitudes: which way a servo pushes does not matter to what it has left.
 */
import { scaleLinear } from 'd3-scale';
import { area, line } from 'd3-shape';
import type { TorqueTrace } from '../../replay/result.ts';
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
const NARROW = 358;
const HEIGHT = 190;
const [LEFT, TOP, BOTTOM] = [48, 26, HEIGHT - 36];
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

/** What a chart shows. */
interface Shown {
  /** Its own on the page. */
  readonly id: string;
  readonly title: string;
  readonly top: number;
  readonly span: readonly [from_s: number, to_s: number];
}

/** The series as shapes inside the plot: what is needed, what of it is short, and what is there. */
function shapesOf({ at_s, needed, available }: TorqueSeries, [from_s, to_s]: Shown['span'], x: Scale, y: Scale) {
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
  return { need: need(inside) ?? '', short: short(inside) ?? '', have: have(inside) ?? '' };
}

type Scale = (value: number) => number;

const WORDS = 'solid: needed; dashed: what the servo has; hatched: short';

function chartOf(width: number, { id, title, top, span }: Shown, series: TorqueSeries): Markup {
  const isWide = width === WIDTH;
  const right = width - 10;
  const x = scaleLinear([...span], [LEFT, right]);
  const y = scaleLinear([0, top * 1.06], [BOTTOM, TOP]);
  const { need, short, have } = shapesOf(series, span, x, y);
  const hatch = `${id}-${String(width)}`;
  const digits = top < 0.4 ? 2 : top < 4 ? 1 : 0;
  const ticks = y.ticks(4).map((t) => {
    const height = y(t);
    return markup`${path(t === 0 ? 'axis' : 'grid', `M${LEFT} ${height.toFixed(1)}H${right}`)}${label(number(t, digits), LEFT - 6, height + 4, 'end', '')}`;
  });
  const times = x
    .ticks(isWide ? 8 : 4)
    .map((t) => label(number(t, span[1] - span[0] < 6 ? 1 : 0), x(t), BOTTOM + 16, 'middle', ''));
  return markup`<svg class="chart torque" viewBox="0 0 ${width} ${HEIGHT}" role="img" aria-label="${title}: ${series.unit === 'N' ? 'force' : 'torque'} needed and available in ${series.unit}">
    <defs><pattern id="${hatch}" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="hatch" width="2.6" height="6"/></pattern></defs>
    ${label(`${title}, ${series.unit}`, 2, 14, 'start', 'name')}${isWide ? label(WORDS, right, 14, 'end') : null}
    ${ticks}${path('needed', need)}
    <path fill="url(#${hatch})" d="${short}"/>${path('has', have)}
    ${times}${label('time, s', (LEFT + right) / 2, HEIGHT - 4, 'middle')}
  </svg>`;
}

/** The chart for a wide page and for a narrow one, which has the words under it. */
export const torqueChart = (shown: Shown, series: TorqueSeries): Markup =>
  markup`<div class="wide">${chartOf(WIDTH, shown, series)}</div>
    <div class="narrow">${chartOf(NARROW, shown, series)}<p class="lead small">${WORDS}.</p></div>`;
