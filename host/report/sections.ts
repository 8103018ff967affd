/** The parts of the report that are charts and lists: poses, timing, breaches. Each is one section of the page. */
import type { Answer, Breach, JointAnswer, Replay } from '../replay/result.ts';
import type { Rig } from '../rig/rig.ts';
import { timeChart } from './draw/chart.ts';
import { count, figure, kept, percent } from './draw/figures.ts';
import { histogramChart } from './draw/histogram.ts';
import { jointTable } from './joint-table.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';
import { causeWords, milliseconds } from '../replay/verdict.ts';
import { effortOf } from '../replay/words.ts';
import { seriesOf, shortestAt, topOf, torqueChart, windowAround } from './draw/torque-chart.ts';

const POSE_NAMES: Readonly<Record<string, string>> = {
  x_mm: 'x (forward)',
  y_mm: 'y (left)',
  z_mm: 'z (up)',
  roll_deg: 'roll',
  pitch_deg: 'pitch (nose down)',
  yaw_deg: 'yaw (to the left)',
};

const unitOf = (key: string): string => (key.endsWith('_mm') ? 'mm' : 'deg');

/** The joint that its motion asks most of, as a share of what its servo has; one that is too fast for any torque comes first. */
function hardest({ joints, metal }: Answer): JointAnswer | null {
  const asked = (joint: JointAnswer): number => (joint.metal ? (joint.metal.peak_use ?? Infinity) : -1);
  // What is taken to follow exactly is asked for nothing that is known.
  const simulated = joints.filter(({ name }) => metal?.taken_exact.includes(name) === false);
  return simulated.reduce<JointAnswer | null>(
    (most, joint) => (!most || asked(joint) > asked(most) ? joint : most),
    null,
  );
}

/** Section 2, when the plant ran: where a servo is short of torque. */
export function torqueSection({ answer, traces }: Replay): Markup | null {
  const joint = hardest(answer);
  const trace = traces.torques.find(({ name }) => name === joint?.name);
  if (!joint?.metal || !trace) return null;
  const { peak_use, saturated_ms, tracking_error, falls_at_s } = joint.metal;
  const series = seriesOf(trace);
  const effort = effortOf([joint]);
  const use =
    peak_use === null ? 'more speed than its servo has' : `${percent(peak_use)} of the ${effort} its servo has`;
  const end =
    falls_at_s === null
      ? `and falls ${figure(tracking_error, joint.unit, 1)} behind its command: that is the jerk`
      : `and at ${figure(falls_at_s, 's', 2)} ${answer.metal?.falls?.what ?? 'it'} falls`;
  const words =
    saturated_ms > 0
      ? `${joint.name} is out of ${effort} for ${milliseconds(saturated_ms)}, ${end}.`
      : `${joint.name} is never out of ${effort}.`;
  const span = windowAround(shortestAt(series), answer.seconds);
  return markup`<section id="torque">
    <h2>${effort === 'force' ? 'Force needed and force available' : 'Torque needed and torque available'}</h2>
    <p class="lead">The motion of ${joint.name} asks for up to ${use}. ${kept(words)}</p>
    <figure>${torqueChart({ id: 'short', title: joint.name, top: topOf([series]), span }, series)}</figure>
  </section>`;
}

/** Section 3: every joint beside its limits. */
export function jointsSection({ answer, traces }: Replay): Markup {
  const servos = answer.metal ? ' “Servo … behind” is how far the simulated servo lagged its own command.' : '';
  return markup`<section id="joints">
    <h2>The joints beside their limits</h2>
    <p class="lead">
      Plus and minus are the largest accelerations upward (toward larger
      values of the joint) and downward. The vertical mark at each bar is the
      limit. Behind is how far a joint was, at most, from what was asked of it;
      past is how far it was beyond everything asked.${servos}
    </p>
    ${jointTable(answer, traces.joints)}
  </section>`;
}

/** A pose that moves less, in mm or deg, is drawn as one that stands still: what rounding leaves is no motion (ours). */
const LEAST_SPAN = 0.1;

/** Section 4: the pose asked and delivered; none without a platform. */
export function poseSection({ platform }: Rig, { answer, traces }: Replay): Markup | null {
  if (!platform) return null;
  const charts = traces.pose.map(
    ({ key, asked, delivered }) =>
      markup`<figure>
        ${timeChart('pose', { title: POSE_NAMES[key] ?? key, unit: unitOf(key), seconds: answer.seconds, asked, delivered, mark_s: traces.worst.at_s, least: LEAST_SPAN })}
      </figure>`,
  );
  return markup`<section id="pose">
    <h2>The pose asked and delivered</h2>
    <p class="lead">
      Dashed is what was asked, solid is what the prop did: where no dashes
      show, it followed. The dotted vertical line is the moment pictured above.
    </p>
    <div class="charts">${charts}</div>
  </section>`;
}

interface Counted {
  readonly figure: string;
  readonly words: string;
  readonly bad: boolean;
}

function counted(answer: Answer): readonly Counted[] {
  return [
    {
      figure: count(answer.frames, 'frame'),
      words: 'of the stream were sent',
      bad: false,
    },
    {
      figure: `${count(answer.lost, 'frame')} lost`,
      words: 'by the link',
      bad: answer.lost > 0,
    },
    {
      figure: `${count(answer.late, 'frame')} late`,
      words: 'arrived after they were due',
      bad: answer.late > 0,
    },
    {
      figure: `${count(answer.starved, 'tick')} starved`,
      words: 'had no newer frame to play',
      bad: answer.starved > 0,
    },
    {
      figure: `${count(answer.unreachable, 'tick')} unreachable`,
      words: 'asked for a pose out of reach',
      bad: answer.unreachable > 0,
    },
  ];
}

const STOPS_SHOWN = 9;

/** What stopped the asked poses, most frequent first. */
function stopList({ stopped_by }: Answer): Markup | null {
  if (stopped_by.length === 0) return null;
  const sorted = [...stopped_by].sort((a, b) => b.frames - a.frames);
  const shown = sorted
    .slice(0, STOPS_SHOWN)
    .map(
      ({ joint, cause, frames }) =>
        markup`<li><b>${joint}</b>: ${causeWords(cause)} <span class="beside">${count(frames, 'frame')}</span></li>`,
    );
  const rest = sorted.length - shown.length;
  return markup`<h3>What stopped the poses out of reach</h3>
    <ul class="stops">${shown}${rest > 0 ? markup`<li class="beside">and ${count(rest, 'rarer cause')}</li>` : null}</ul>`;
}

function latencyFigure({ answer, traces }: Replay): Markup {
  const { p50, p99, max } = answer.latency_ms;
  const words = `From sending to arrival, half of the frames took ${figure(p50, 'ms')} or less, 99 % took ${figure(p99, 'ms')} or less, the slowest ${figure(max, 'ms')}. The playback delay minus its look-ahead covers this as long as no frame takes longer.`;
  const allowed = { value: answer.delay_ms - answer.look_ahead_ms - answer.wobble_ms, name: 'delay for jitter' };
  return markup`<figure class="captioned">
    ${histogramChart({ title: 'latency', counted: 'frames', data: traces.latency, allowed })}
    <figcaption>${words}</figcaption>
  </figure>`;
}

function tickFigure({ answer, traces }: Replay): Markup {
  if (!answer.tick_us || !traces.tick) {
    return markup`<figure class="captioned">
      <figcaption>
        How long a tick takes was not measured on this target.
      </figcaption>
    </figure>`;
  }
  const { p50, p99, max, budget, clock } = answer.tick_us;
  const words = `Half of the ticks took ${figure(p50, 'µs')} or less, 99 % took ${figure(p99, 'µs')} or less, the slowest ${figure(max, 'µs')}: ${percent(max / budget)} of the budget. Measured on ${clock}.`;
  return markup`<figure class="captioned">
    ${histogramChart({ title: 'duration of a tick', counted: 'ticks', data: traces.tick, allowed: { value: budget, name: 'budget' } })}
    <figcaption>${words}</figcaption>
  </figure>`;
}

const BREACH_WORDS: Readonly<Record<Breach['what'], string>> = {
  pulse: 'pulse',
  soft_limit: 'soft limit',
  speed: 'speed',
  plus: 'upward acceleration',
  minus: 'downward acceleration',
  rod_end: 'rod end',
  assembly: 'assembly',
  tripped: 'tripped',
  silence: 'silence',
};

const BREACHES_SHOWN = 20;

function breachTable(answer: Answer): Markup {
  if (answer.breach_count === 0) return markup`<p>None: no limit was broken at any tick.</p>`;
  const shown = answer.breaches.slice(0, BREACHES_SHOWN);
  const more =
    answer.breach_count > shown.length
      ? markup`<p class="lead">In all, limits were broken ${count(answer.breach_count, 'time')}. Repeats within a second are listed once.</p>`
      : null;
  const rows = shown.map(
    (b) =>
      markup`<tr>
        <td>${figure(b.at_s, 's', 3)}</td>
        <th scope="row">${b.where}</th>
        <td>${BREACH_WORDS[b.what]}</td>
        <td>${kept(b.message)}</td>
      </tr> `,
  );
  return markup`<table class="breaches">
      <thead>
        <tr>
          <th scope="col">at</th>
          <th scope="col">where</th>
          <th scope="col">what</th>
          <th scope="col">in words</th>
        </tr>
      </thead>
      <tbody>
        ${rows}
      </tbody>
    </table>
    ${more}`;
}

/** Section 6: timing, counts, and every limit broken. */
export function timingSection(replay: Replay): Markup {
  const tiles = counted(replay.answer).map(
    (c) => markup`<div${c.bad ? markup` class="some"` : null}><dt>${c.figure}</dt><dd>${c.words}</dd></div>`,
  );
  return markup`<section id="timing">
      <h2>Timing</h2>
      <dl class="counts">${tiles}</dl>
    ${stopList(replay.answer)}
      <div class="timing">${latencyFigure(replay)}${tickFigure(replay)}</div>
    </section>
    <section id="breaches">
      <h2>Limits broken</h2>
      ${breachTable(replay.answer)}
    </section>`;
}
