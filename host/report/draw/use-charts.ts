/** Along a stream, how much of its servo each joint uses: small charts at one scale, hatched beyond the 100 % line. */
import { scaleLinear } from 'd3-scale';
import type { JointAlong, JointLoad, LoadAnswer } from '../../load/result.ts';
import { PLOT, SIZE, xAxis } from './chart.ts';
import { figure, percent } from './figures.ts';
import { type Markup, markup } from './markup.ts';
import { label, path, upright } from './svg.ts';

/** A use beyond this is drawn as this. */
const MOST = 2.5;
const LEAST = 1.15;
/** Joints that never use more than this are told in words. */
const HARDLY = 0.05;

export type Moving = JointLoad & { readonly along: JointAlong };

/** Joints worth a chart, and those that hardly work. */
export function movingJoints({ joints }: LoadAnswer): {
  readonly drawn: readonly Moving[];
  readonly idle: readonly Moving[];
} {
  const moving = joints.filter((joint): joint is Moving => joint.along !== null);
  const known = moving.filter(({ along }) => along.use !== null || along.impossible !== null);
  const isIdle = ({ along }: Moving): boolean => along.use !== null && along.use <= HARDLY;
  return { drawn: known.filter((joint) => !isIdle(joint)), idle: known.filter(isIdle) };
}

/** The largest share that the charts go up to. */
export function topUse(joints: readonly Moving[]): number {
  const uses = joints.map(({ along }) => (along.impossible ? MOST : (along.use ?? 0)));
  return Math.min(MOST, Math.max(LEAST, ...uses.map((use) => 1.06 * use)));
}

const px = (value: number): string => (Math.round(value * 10) / 10).toString();

/** Steps as high as each length's largest use, from `floor` up; lengths without a figure leave a gap. */
export function useSteps(
  uses: readonly (number | null)[],
  x: (i: number) => number,
  y: (use: number) => number,
  floor: number,
): string {
  const base = px(y(floor));
  let d = '';
  for (let i = 0; i < uses.length; i++) {
    const use = uses[i] ?? null;
    if (use === null || use <= floor) continue;
    const opens = d === '' || (uses[i - 1] ?? 0) <= floor;
    const closes = (uses[i + 1] ?? 0) <= floor;
    d += `${opens ? `M${px(x(i))} ${base}` : ''}V${px(y(use))}H${px(x(i + 1))}${closes ? `V${base}Z` : ''}`;
  }
  return d;
}

/** One joint's chart; the hairline is where it works hardest. */
export function useChart({ name, along }: Moving, [from_s, to_s]: readonly [number, number], top: number): Markup {
  const { left, right, top: upper, bottom } = PLOT;
  const x = scaleLinear([from_s, to_s], [left, right]);
  const y = scaleLinear([0, top], [bottom, upper]);
  const count = along.use_over_time.length;
  const at = (i: number): number => x(from_s + (i * (to_s - from_s)) / count);
  const height = (use: number): number => y(Math.min(use, top));
  const lines = (top > 1.6 ? [0, 1, 2] : [0, 0.5, 1, 1.5])
    .filter((share) => share <= top)
    .map(
      (share) =>
        markup`${path(share === 0 ? 'zero' : share === 1 ? 'all-of-it' : 'grid', `M${left} ${px(y(share))}H${right}`)}${label(percent(share), left - 6, y(share) + 4, 'end', '')}`,
    );
  const fast = along.too_fast.flatMap((is, i) =>
    is ? [upright('short-of', at(i), at(i + 1) - at(i), upper, bottom)] : [],
  );
  const most = along.impossible ? 'faster than its servo can go' : `at most ${percent(along.use ?? 0)}`;
  const said = `${name}: ${most} at ${figure(along.at_s, 's', 2)}`;
  return markup`<svg class="chart" viewBox="0 0 ${SIZE.width} ${SIZE.height}" role="img" aria-label="${said}">
    ${label(name, 2, 14, 'start', 'name')}${label(`${most}, ${figure(along.at_s, 's', 2)}`, right, 14, 'end')}
    ${path('needed', useSteps(along.use_over_time, at, height, 0))}
    ${path('beyond', useSteps(along.use_over_time, at, height, 1))}${fast.length === 0 ? null : markup`<g class="beyond">${fast}</g>`}
    ${lines}${path('mark', `M${px(x(along.at_s))} ${upper}V${bottom}`)}${xAxis(x, 'time, s')}
  </svg>`;
}
