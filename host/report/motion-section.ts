/** The part of the report that charts each joint over time in its limits: where it was, how fast, and how hard it went. */
import type { Answer, JointAnswer, JointTrace, Replay } from '../replay/result.ts';
import { VISIBLE } from '../replay/verdict.ts';
import { timeChart } from './draw/chart.ts';
import { figure, percent, setting, within } from './draw/figures.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';

const isPast = ({ past }: JointAnswer): boolean => past >= VISIBLE;

function jointSentence(joint: JointAnswer, answer: Answer): string {
  const { peak_error, peak_error_at_s, past, past_at_s, unit, limit_ticks } = joint;
  const behind = within(peak_error, unit);
  const beyond = isPast(joint)
    ? `; furthest past everything asked by ${within(past, unit)} at ${figure(past_at_s, 's', 2)}`
    : '';
  if (limit_ticks === 0) return `never held back by a limit; at most ${behind} from what was asked${beyond}`;
  const share = percent(limit_ticks / Math.max(1, answer.ticks));
  return `held back ${share} of the time; furthest behind by ${behind} at ${figure(peak_error_at_s, 's', 2)}${beyond}`;
}

/** `The limits are those at rest: plus fades with speed, none at 121 deg/s.` Null: neither fades. */
function fadesWords({ unit, limits }: JointTrace): string | null {
  const fade = (name: string, gone: number): string[] =>
    Number.isFinite(gone) ? [`${name} fades with speed, none at ${setting(gone, `${unit}/s`)}`] : [];
  const said = [...fade('plus', limits.plus_gone), ...fade('minus', limits.minus_gone)];
  return said.length === 0 ? null : `The limits drawn are those at rest: ${said.join('; ')}.`;
}

function jointCharts(trace: JointTrace, answer: Answer): Markup {
  const { name, unit, limits } = trace;
  const joint = answer.joints.find((j) => j.name === name);
  const seconds = answer.seconds;
  const at_s = joint && (isPast(joint) ? joint.past_at_s : joint.peak_error_at_s);
  const mark =
    joint && at_s !== undefined && (joint.limit_ticks > 0 || isPast(joint)) ? { mark_s: Math.min(at_s, seconds) } : {};
  const position = timeChart(name, {
    title: 'position',
    unit,
    seconds,
    asked: trace.asked,
    delivered: trace.delivered,
    limits,
    ...mark,
  });
  const speed = timeChart(name, {
    title: 'speed',
    unit: `${unit}/s`,
    seconds,
    delivered: trace.speed,
    limits: { lo: -limits.speed, hi: limits.speed },
    ...mark,
  });
  const accel = timeChart(name, {
    title: 'acceleration',
    unit: `${unit}/s²`,
    seconds,
    delivered: trace.accel,
    limits: { lo: -limits.minus, hi: limits.plus },
    ...mark,
  });
  const fades = fadesWords(trace);
  return markup`<div class="joint">
    <header>
      <h3>${name}</h3>
      ${joint ? markup`<p>${jointSentence(joint, answer)}</p>` : null}
    </header>
    <div class="charts">
      <figure>${position}</figure>
      <figure>${speed}</figure>
      <figure class="captioned">${accel}${fades === null ? null : markup`<figcaption>${fades}</figcaption>`}</figure>
    </div>
  </div> `;
}

/** Section 5: each joint over time in its limit band. */
export const motionSection = ({ answer, traces }: Replay): Markup =>
  markup`<section id="motion">
    <h2>Each joint in its limits</h2>
    <p class="lead">
      The pale band is what the limits allow. Gaps in the dashes are poses out
      of reach. The dotted upright is where the joint is furthest past
      everything asked, or else furthest behind.
    </p>
    ${traces.joints.map((trace) => jointCharts(trace, answer))}
  </section>`;
