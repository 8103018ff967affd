/**
 * The stretched time of a retimed stream: along the stream as it was, the share of its limit that the joint nearest to one asked
 * for; how each slowed place became longer; and the same share along the new stream. All at one scale of time.
 */
import { scaleLinear } from 'd3-scale';
import { area } from 'd3-shape';
import type { EnvelopeData } from '../../replay/result.ts';
import type { Warp } from '../../retime/paced.ts';
import type { RetimeAnswer, RetimeTraces } from '../../retime/result.ts';
import { coarser } from './envelope.ts';
import { number } from './figures.ts';
import { type Markup, markup } from './markup.ts';
import { label, path, px } from './svg.ts';

/** A share of a limit beyond this is drawn as this. */
const MOST_SHARE = 2.5;
const [LEFT, MARGIN] = [46, 10];
/** Upper edges and heights of the charts, the bars, and what lies between the bars. */
const CHART = { before: 26, after: 264, height: 92 } as const;
const BAR = { before: 140, after: 214, height: 12 } as const;
const HEIGHT = 400;

type Scale = (value: number) => number;

/** Where an instant of the old stream lies in the new one. */
function mapped({ was_s, now_s }: Warp, s: number): number {
  const last = was_s.length - 1;
  const k = Math.max(0, Math.min(last - 1, Math.floor((s / (was_s[last]! || 1)) * last)));
  const share = (s - was_s[k]!) / (was_s[k + 1]! - was_s[k]! || 1);
  return now_s[k]! + share * (now_s[k + 1]! - now_s[k]!);
}

/** The envelope's upper edge as an area down to nothing. */
function shareArea(data: EnvelopeData, x: Scale, y: Scale, from: number): string {
  const points = data.hi.findLastIndex((value) => !Number.isNaN(value)) + 1;
  const shape = area<number>()
    .defined((i) => !Number.isNaN(data.hi[i]!))
    .x((i) => x((i + 0.5) * data.bucket_s))
    .y0(y(from))
    .y1((i) => y(Math.min(MOST_SHARE, Math.max(from, data.hi[i]!))))
    .digits(1);
  return shape(Array.from({ length: points }, (_, i) => i)) ?? '';
}

function shareChart(id: string, title: string, top: number, data: EnvelopeData, x: Scale, right: number): Markup {
  const y = scaleLinear([0, MOST_SHARE], [top + CHART.height, top]);
  const drawn = coarser(data, right - LEFT);
  const lines = [0, 1, 2].map((share) => {
    const height = y(share);
    const kind = share === 0 ? 'axis' : share === 1 ? 'allowed' : 'grid';
    return markup`${path(kind, `M${String(LEFT)} ${height.toFixed(1)}H${String(right)}`)}${label(`${String(100 * share)} %`, LEFT - 6, height + 4, 'end', '')}`;
  });
  return markup`${label(title, 2, top - 12, 'start', 'name')}
    ${path('needed', shareArea(drawn, x, y, 0))}
    <path fill="url(#${id})" d="${shareArea(drawn, x, y, 1)}"/>${lines}`;
}

/** Nearer to 1 than this a step is as long as it was. */
const SAME = 0.002;

/** How dark a step is drawn that takes so many times as long: the darker, the more; none where it is as it was. */
function shade(by: number): number {
  return Math.abs(by - 1) < SAME ? 0 : Math.min(0.95, 0.3 + 0.24 * Math.abs(Math.log2(by)));
}

/** What was stretched, step by step: pieces of both bars, and the band between them. Equal neighbours are drawn as one. */
function steps({ was_s, now_s }: Warp, x: Scale): Markup[] {
  const found: Markup[] = [];
  const [top, upper] = [BAR.before, BAR.before + BAR.height];
  const [lower, bottom] = [BAR.after, BAR.after + BAR.height];
  const byOf = (k: number): number => (now_s[k + 1]! - now_s[k]!) / (was_s[k + 1]! - was_s[k]! || 1);
  const dark = (k: number): number => Math.round(20 * shade(byOf(k))) / 20;
  for (let k = 0, end = 1; end < was_s.length; k = end++) {
    while (end + 1 < was_s.length && dark(end) === dark(k) && byOf(end) > 1 === byOf(k) > 1) end++;
    if (dark(k) === 0) continue;
    const [a, b, c, d] = [was_s[k]!, was_s[end]!, now_s[k]!, now_s[end]!].map((at) => px(x(at)));
    const bars = `M${a!} ${top}H${b!}V${upper}H${a!}ZM${c!} ${lower}H${d!}V${bottom}H${c!}Z`;
    const band = `M${a!} ${upper}H${b!}L${d!} ${lower}H${c!}Z`;
    found.push(markup`<g class="${byOf(k) > 1 ? 'slower' : 'faster'}" fill-opacity="${dark(k)}">
      <path d="${bars}"/><path class="between" d="${band}"/></g>`);
  }
  return found;
}

/** The picture as an SVG element, so many px wide; `start_s` is the time of the stream's first frame. */
export function stretchStrip(answer: RetimeAnswer, traces: RetimeTraces, start_s: number, width: number): Markup {
  const right = width - MARGIN;
  const longest_s = Math.max(answer.seconds_before, answer.seconds_after, 1e-3);
  const x = scaleLinear([0, longest_s], [LEFT, right]);
  const to = (s: number): number => mapped(traces.warp, s);
  const id = `short-${String(width)}`;
  const bar = (top: number, seconds: number): Markup =>
    path(
      'bar-of-time',
      `M${String(LEFT)} ${String(top)}H${x(seconds).toFixed(1)}V${String(top + BAR.height)}H${String(LEFT)}Z`,
    );
  const beats = answer.kept.map(({ at_s }) => {
    const [a, b] = [x(at_s - start_s), x(to(at_s - start_s))];
    return path(
      'beat',
      `M${a.toFixed(1)} ${String(BAR.before - 4)}V${String(BAR.before + BAR.height)}L${b.toFixed(1)} ${String(BAR.after)}V${String(BAR.after + BAR.height + 4)}`,
    );
  });
  const bottom = CHART.after + CHART.height;
  const times = x
    .ticks(width > 500 ? 10 : 5)
    .map((t) => label(number(t, longest_s < 5 ? 1 : 0), x(t), bottom + 16, 'middle', ''));
  const said = `how the stream was stretched: ${number(answer.seconds_before)} s became ${number(answer.seconds_after)} s`;
  return markup`<svg class="chart stretched" viewBox="0 0 ${width} ${HEIGHT - 10}" role="img" aria-label="${said}">
    <defs><pattern id="${id}" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="hatch" width="2.6" height="6"/></pattern></defs>
    ${shareChart(id, 'as it was: the joint nearest to a limit', CHART.before, traces.before, x, right)}
    ${bar(BAR.before, answer.seconds_before)}${bar(BAR.after, answer.seconds_after)}
    ${steps(traces.warp, x)}${beats}
    ${shareChart(id, 'as it is now', CHART.after, traces.after, x, right)}
    ${times}${label('time from the start, s', (LEFT + right) / 2, bottom + 34, 'middle')}
  </svg>`;
}
