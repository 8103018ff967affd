/** A wobble before and after its cure: how far the metal is from its command along one move, both at one scale. */
import { extent } from 'd3-array';
import { scaleLinear } from 'd3-scale';
import type { EnvelopeData } from '../../replay/result.ts';
import type { Tried } from '../../tune/wobble-trial.ts';
import { PLOT, SIZE, xAxis, yAxis } from './chart.ts';
import { bandPath } from './envelope.ts';
import { figure } from './figures.ts';
import { type Markup, markup } from './markup.ts';
import { label, path } from './svg.ts';

/** Lowest and highest of both, with some room. */
function scaleOf(traces: Tried['traces']): readonly [number, number] {
  const all = [traces.before, traces.after].flatMap(({ lo, hi }) => [...lo, ...hi]);
  const [lowest = -1, highest = 1] = extent(all.filter(Number.isFinite));
  const room = 0.06 * Math.max(highest - lowest, 1e-3);
  return [lowest - room, highest + room];
}

function chart(title: string, left: number, data: EnvelopeData, { trial, traces }: Tried): Markup {
  const x = scaleLinear([0, Math.max(traces.seconds, 0.1)], [PLOT.left, PLOT.right]);
  const y = scaleLinear([...scaleOf(traces)], [PLOT.bottom, PLOT.top]);
  const words = `left: ${figure(left, trial.unit, 2)}`;
  return markup`<svg class="chart" viewBox="0 0 ${SIZE.width} ${SIZE.height}" role="img" aria-label="${trial.joint} ${title}: ${words}">
    ${label(`${title}, ${trial.unit}`, 2, 14, 'start', 'name')}${label(words, PLOT.right, 14, 'end')}
    ${yAxis(y)}${path('swing-line', bandPath(data, x, y))}${xAxis(x, 'time, s')}
  </svg>`;
}

/** Both charts. */
export const swingCharts = (tried: Tried): Markup =>
  markup`<div class="both">
    ${chart('without the cure', tried.trial.before, tried.traces.before, tried)}
    ${chart('with the cure', tried.trial.after, tried.traces.after, tried)}
  </div>`;
