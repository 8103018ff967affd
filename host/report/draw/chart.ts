/**
 * One small chart over time: what was asked (dashed, underneath), what was delivered (solid), the limits as a band.
 * Drawn once at a size that reads on a phone, on paper and three to a row on a wide page.
 */
import { max, min } from 'd3-array';
import { scaleLinear } from 'd3-scale';
import type { EnvelopeData } from '../../replay/result.ts';
import { bandPath, coarser, outlinePath, reach } from './envelope.ts';
import { number, settled } from './figures.ts';
import { markup } from './markup.ts';
import type { Markup } from './markup.ts';
import { label, path, upright } from './svg.ts';

/** Figures in `unit`, times in seconds from the start of the stream. */
export interface TimeChart {
  readonly title: string;
  readonly unit: string;
  readonly seconds: number;
  readonly delivered: EnvelopeData;
  readonly asked?: EnvelopeData;
  readonly limits?: Limits;
  /** The axis spans so much at least, in `unit`: rounding is not drawn as motion. */
  readonly least?: number;
  /** An instant to mark with a hairline. */
  readonly mark_s?: number;
}

const WIDTH = 288;
const HEIGHT = 166;
/** Right of a plot. */
const MARGIN = 8;
export const PLOT = {
  left: 60,
  right: WIDTH - MARGIN,
  top: 26,
  bottom: HEIGHT - 36,
};
export const SIZE = { width: WIDTH, height: HEIGHT };

/** Where in its picture a plot lies. */
export type PlotBox = typeof PLOT;
/** From a plot's lower edge to its picture's. */
const BELOW = HEIGHT - PLOT.bottom;

type Scale = ReturnType<typeof scaleLinear<number, number>>;

/** Decimals that tell neighbouring ticks apart. */
function tickDigits(ticks: readonly number[]): number {
  const step = Math.abs((ticks[1] ?? 1) - (ticks[0] ?? 0));
  return Math.max(0, -Math.floor(Math.log10(step || 1) + 1e-9));
}

/** A digit in the widest of usual fonts. */
const DIGIT_PX = 7.5;

/** Px to a tenth, for path data. */
const px = (value: number): string => String(Math.round(value * 10) / 10);

/** Axis, ticks with figures, and title under a chart. */
export function xAxis(x: Scale, title: string, { left, right, bottom }: PlotBox = PLOT): Markup {
  const ticks = x.ticks((x.domain()[1] ?? 0) < 1000 ? 5 : 3);
  const digits = tickDigits(ticks);
  const figures = ticks.map((t) => {
    const words = number(t, digits);
    const at = Math.min(x(t), right + MARGIN - 1 - (words.length * DIGIT_PX) / 2);
    return label(words, at, bottom + 16, 'middle', '');
  });
  const marks = ticks.map((t) => `M${px(x(t))} ${bottom}v4`).join('');
  return markup`${path('axis', `M${left} ${bottom}H${right}${marks}`)}${figures}
    ${label(title, (left + right) / 2, bottom + BELOW - 4, 'middle')}`;
}

/** Gridlines with their figures at the left. */
export function yAxis(y: Scale, { left, right }: PlotBox = PLOT): Markup {
  const ticks = y.ticks(4);
  const digits = tickDigits(ticks);
  const lines = ticks.map((t) => path(t === 0 ? 'zero' : 'grid', `M${left} ${px(y(t))}H${right}`));
  const figures = ticks.map((t) => label(number(t, digits), left - 6, y(t) + 4, 'end', ''));
  return markup`${lines}${figures}`;
}

function verticalScale(chart: TimeChart): Scale {
  const bounds = [...reach(chart.delivered), ...(chart.asked ? reach(chart.asked) : [])];
  if (chart.limits) bounds.push(chart.limits.lo, chart.limits.hi);
  const finite = bounds.filter(Number.isFinite);
  const lo = min(finite) ?? 0;
  const hi = max(finite) ?? 0;
  const span = hi - lo;
  const room = span > 1e-9 ? Math.max(span * 0.06, ((chart.least ?? 0) - span) / 2) : 1;
  return scaleLinear([lo - room, hi + room], [PLOT.bottom, PLOT.top]);
}

interface Limits {
  readonly lo: number;
  readonly hi: number;
}

function limitBand({ lo, hi }: Limits, y: Scale): Markup {
  const { left, right } = PLOT;
  const edges = `M${left} ${px(y(hi))}H${right}M${left} ${px(y(lo))}H${right}`;
  return markup`${upright('band', left, right - left, y(hi), y(lo))}${path('edge', edges)}`;
}

/** Characters that fit above a chart beside each other, in the widest of usual fonts. */
const FITS = 40;

function limitWords({ lo, hi }: Limits, title: string): string {
  const [low, high] = [settled(lo), settled(hi)];
  const range = low === -high ? `±${number(high)}` : `${number(low)} to ${number(high)}`;
  const words = `limits ${range}`;
  return title.length + words.length <= FITS ? words : range;
}

/** The chart as an SVG element; `of` says whose it is, for those who cannot see it. */
export function timeChart(of: string, chart: TimeChart): Markup {
  const x = scaleLinear([0, Math.max(chart.seconds, 1e-3)], [PLOT.left, PLOT.right]);
  const y = verticalScale(chart);
  const most = PLOT.right - PLOT.left;
  const delivered = bandPath(coarser(chart.delivered, most), x, y);
  const asked = chart.asked ? path('asked', outlinePath(coarser(chart.asked, most), x, y)) : null;
  const band = chart.limits ? limitBand(chart.limits, y) : null;
  const title = `${chart.title}, ${chart.unit}`;
  const words = chart.limits ? label(limitWords(chart.limits, title), PLOT.right, 14, 'end') : null;
  const mark = chart.mark_s === undefined ? null : path('mark', `M${px(x(chart.mark_s))} ${PLOT.top}V${PLOT.bottom}`);
  const said = `${of}: ${chart.title} in ${chart.unit} over ${number(chart.seconds)} s`;
  return markup`<svg class="chart" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" aria-label="${said}">
    ${label(title, 2, 14, 'start', 'name')}${words}
    ${band}${yAxis(y)}${mark}${asked}${path('delivered', delivered)}
    ${xAxis(x, 'time, s')}
  </svg>`;
}
