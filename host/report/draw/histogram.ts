/** How often which duration occurred, as bars; the mark says how long it may take. */
import { max } from 'd3-array';
import { scaleLinear } from 'd3-scale';
import type { Histogram } from '../../replay/result.ts';
import { PLOT, SIZE, xAxis, yAxis } from './chart.ts';
import { figure } from './figures.ts';
import { markup } from './markup.ts';
import type { Markup } from './markup.ts';
import { label, path, upright } from './svg.ts';

/** In the histogram's unit. */
export interface HistogramChart {
  readonly title: string;
  /** What is counted: `frames`, `ticks`. */
  readonly counted: string;
  readonly data: Histogram;
  readonly allowed: { readonly value: number; readonly name: string };
}

/** A bar that holds anything at all stays visible. */
const LEAST_PX = 2;
/** The axis goes at least so far, in the histogram's unit: of a perfect line every frame takes 0 ms. */
const LEAST_SPAN = 1;

/** Edges of the bins that hold something, with one empty bin to spare, never beyond the last. */
function filledTo(data: Histogram): number {
  const last = data.counts.findLastIndex((n) => n > 0);
  return data.edges[Math.min(last + 2, data.edges.length - 1)] ?? 1;
}

/** The chart as an SVG element. An allowance far beyond the bars is named at the right edge, not drawn to scale. */
export function histogramChart({ title, counted, data, allowed }: HistogramChart): Markup {
  const unit = data.unit === 'us' ? 'µs' : data.unit;
  const filled = Math.max(LEAST_SPAN, filledTo(data));
  const near = allowed.value <= filled * 2.5;
  const x = scaleLinear(
    [Math.min(0, data.edges[0] ?? 0), near ? Math.max(filled, allowed.value) * 1.05 : filled * 1.05],
    [PLOT.left, PLOT.right],
  );
  const y = scaleLinear([0, Math.max(4, max(data.counts) ?? 0)], [PLOT.bottom, PLOT.top + 4]);
  const bars = data.counts.map((n, i) => {
    const [from, to] = [x(data.edges[i] ?? 0), x(data.edges[i + 1] ?? 0)];
    if (n === 0) return markup``;
    return upright(
      'bar',
      from + 0.5,
      Math.max(to - from - 1, LEAST_PX),
      Math.min(y(n), PLOT.bottom - LEAST_PX),
      PLOT.bottom,
    );
  });
  const limit = near ? path('allowed', `M${x(allowed.value).toFixed(1)} ${PLOT.top - 4}V${PLOT.bottom}`) : null;
  const words = `${allowed.name} ${figure(allowed.value, unit)}${near ? '' : ' \u2192'}`;
  const said = `${title}, ${unit}: how many ${counted}`;
  return markup`<svg class="chart" viewBox="0 0 ${SIZE.width} ${SIZE.height}" role="img" aria-label="${said}">
    ${label(counted, 2, 14, 'start', 'name')}${label(words, PLOT.right, 14, 'end')}
    ${yAxis(y)}${bars}${limit}${xAxis(x, `${title}, ${unit}`)}
  </svg>`;
}
