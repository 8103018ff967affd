/** The table of joints: how far, how fast, how hard, each beside its limit with its share of it as a bar. */
import { UNKNOWN } from '../rig/terms.ts';
import { scaleLinear } from 'd3-scale';
import type { Answer, JointAnswer, JointTrace } from '../replay/result.ts';
import { milliseconds } from '../replay/verdict.ts';
import { effortOf } from '../replay/words.ts';
import { count, figure, kept, percent, setting } from './draw/figures.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';
import { path, upright } from './draw/svg.ts';

const HEIGHT = 9;
const SHARE_PX = 76;
const TRAVEL_PX = 148;
/** Rounding that is no breach: f32 steps and differences of them. */
const EXCESS = 0.002;

/** A stretch in the room between upright strokes; all in px. */
interface Bar {
  readonly said: string;
  readonly over: boolean;
  readonly width: number;
  readonly stretch: readonly [number, number];
  readonly stops: readonly number[];
}

function bar({ said, over, width, stretch: [from, to], stops }: Bar): Markup {
  const ends = stops.map((x) => `M${x.toFixed(1)} 0v${HEIGHT}`).join('');
  const room = upright('room', 1, (stops.at(-1) ?? width) - 1, 3, 6);
  const filled = upright(over ? 'over' : 'share', from, Math.max(to - from, 1.5), 2, 7);
  return markup`<svg class="bar-of" style="width:${width}px" viewBox="0 0 ${width} ${HEIGHT}" role="img" aria-label="${said}">
    ${room}${filled}${path('stop', ends)}
  </svg>`;
}

/** Bar from 0 to a third beyond the limit; the upright stroke is the limit itself. */
function shareBar(share: number): Markup {
  const x = scaleLinear([0, 1.33], [1, SHARE_PX]).clamp(true);
  const said = `${percent(share)} of the limit`;
  return bar({ said, over: share > 1 + EXCESS, width: SHARE_PX, stretch: [1, x(share)], stops: [x(1)] });
}

/** Where in its soft limits the joint moved. */
function travelBar(joint: JointAnswer, { lo, hi }: JointTrace['limits']): Markup {
  const x = scaleLinear([lo, hi], [1, TRAVEL_PX - 1]).clamp(true);
  const slack = (hi - lo) * EXCESS;
  const over = joint.min < lo - slack || joint.max > hi + slack;
  const stretch = [x(joint.min), x(joint.max)] as const;
  return bar({
    said: 'where it moved between its soft limits',
    over,
    width: TRAVEL_PX,
    stretch,
    stops: [1, TRAVEL_PX - 1],
  });
}

interface Cell {
  readonly head: string;
  readonly value: string;
  readonly beside?: string;
  readonly bar?: Markup;
}

function limited(head: string, value: number, limit: number, unit: string): Cell {
  const digits = limit < 20 ? 1 : 0;
  return {
    head,
    value: figure(value, unit, digits),
    beside: `of ${figure(limit, unit, digits)}`,
    bar: shareBar(limit > 0 ? Math.abs(value) / limit : 0),
  };
}

function travel(joint: JointAnswer, limits: JointTrace['limits']): Cell {
  const { unit } = joint;
  return {
    head: 'lowest to highest',
    value: `${figure(joint.min, unit, 1)} to ${figure(joint.max, unit, 1)}`,
    beside: `limits ${setting(limits.lo, unit)} to ${setting(limits.hi, unit)}`,
    bar: travelBar(joint, limits),
  };
}

function heldBack(joint: JointAnswer, ticks: number): Cell {
  const value = count(joint.limit_ticks, 'tick');
  const share = joint.limit_ticks / Math.max(1, ticks);
  return { head: 'at its limits', value, ...(share > 0 ? { beside: `${percent(share)} of the time` } : {}) };
}

function behind({ peak_error, peak_error_at_s, unit }: JointAnswer): Cell {
  const value = figure(peak_error, unit, 2);
  const beside = `at ${figure(peak_error_at_s, 's', 2)}`;
  return { head: 'behind', value, ...(peak_error >= 0.005 ? { beside } : {}) };
}

/** How far beyond everything asked. */
function past({ past: most, past_at_s, unit }: JointAnswer): Cell {
  const value = figure(most, unit, 2);
  return { head: 'past', value, ...(most >= 0.005 ? { beside: `at ${figure(past_at_s, 's', 2)}` } : {}) };
}

/** What the simulation adds: time at the servo line, and how far that leaves it behind. */
function outOfEffort({ name, metal, unit }: JointAnswer, { joints, metal: all }: Answer): Cell {
  const falls = all?.falls ?? all?.unsure ?? null;
  const head = `out of ${effortOf(joints)}`;
  if (all?.taken_exact.includes(name)) return { head, value: UNKNOWN, beside: 'taken to follow' };
  const { saturated_ms = 0, tracking_error = 0, falls_at_s = null } = metal ?? {};
  const value = kept(milliseconds(saturated_ms));
  const until = falls ? `, known until ${figure(falls.at_s, 's', 2)}` : '';
  const beside =
    falls_at_s === null
      ? `servo ${figure(tracking_error, unit, 1)} behind${until}`
      : `falls at ${figure(falls_at_s, 's', 2)}`;
  return { head, value, beside };
}

function cells(joint: JointAnswer, limits: JointTrace['limits'], answer: Answer): readonly Cell[] {
  const { ticks, metal } = answer;
  const { unit } = joint;
  return [
    travel(joint, limits),
    limited('top speed', joint.peak_speed, limits.speed, `${unit}/s`),
    limited('plus', joint.peak_plus, limits.plus, `${unit}/s²`),
    limited('minus', joint.peak_minus, limits.minus, `${unit}/s²`),
    heldBack(joint, ticks),
    behind(joint),
    past(joint),
    ...(metal ? [outOfEffort(joint, answer)] : []),
  ];
}

function row(name: string, columns: readonly Cell[]): Markup {
  const tds = columns.map(({ head, value, beside, bar }) => {
    const more = beside === undefined ? null : markup` <span class="beside">${beside}</span>`;
    return markup`<td role="cell">
      <span class="head" aria-hidden="true">${head}</span><span class="value">${value}</span>${more}${bar ?? null}
    </td>`;
  });
  return markup`<tr role="row"><th role="rowheader" scope="row">${name}</th>${tds}</tr>
  `;
}

/** The table; on a narrow page the style sheet turns each row into a card. Joints without a trace are left out. */
export function jointTable(answer: Answer, traces: readonly JointTrace[]): Markup {
  const rows = answer.joints.flatMap((joint) => {
    const trace = traces.find(({ name }) => name === joint.name);
    return trace
      ? [
          {
            name: joint.name,
            columns: cells(joint, trace.limits, answer),
          },
        ]
      : [];
  });
  const heads = rows[0]?.columns.map(({ head }) => markup`<th role="columnheader" scope="col">${head}</th>`) ?? [];
  return markup`<table role="table" class="joints">
    <thead role="rowgroup">
      <tr role="row">
        <th role="columnheader" scope="col">joint</th>
        ${heads}
      </tr>
    </thead>
    <tbody role="rowgroup">
      ${rows.map(({ name, columns }) => row(name, columns))}
    </tbody>
  </table>`;
}
