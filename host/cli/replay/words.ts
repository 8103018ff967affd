/** A replay's answer in a maker's words, some twenty lines: the verdict first, then the figures it rests on. */
import { PLUS_MINUS_NOTE } from '../../rig/terms.ts';
import type { Answer, Breach, JointAnswer } from '../../replay/result.ts';
import {
  VISIBLE,
  canItGetThere,
  causeWords,
  followsOnMetal,
  unsureWords,
  milliseconds,
  provenWords,
  willItBeSmooth,
  withinTolerance,
} from '../../replay/verdict.ts';
import {
  breachTime,
  effortOf,
  exactWords,
  metalNames,
  namesWords,
  shakingWords,
  whenWords,
} from '../../replay/words.ts';
import { isFar } from '../../rig/response-limits.ts';
import { type Joint, type Rig, toShown } from '../../rig/rig.ts';
import { type Io, coloursOf, widthOf } from '../io.ts';
import { fixed, labelled, table, type Row } from '../output.ts';
import { toldIn } from '../told.ts';
import { counted } from '../../rig/words.ts';

/** Names of files for the words at the end, and of the stream's columns that shake. */
export interface Names {
  readonly rig: string;
  readonly report: string | null;
  readonly shaking: readonly string[];
  /** Where what came out was written; null: nowhere. */
  readonly output: string | null;
}

/** What the columns hold. */
const PEAKS_NOTE = `${PLUS_MINUS_NOTE}
Behind: how far it lags. Past: how far it overshoots everything asked around that moment.`;

const ms = (value: number): string => `${value.toFixed(1)} ms`;
const us = (value: number): string => `${value.toFixed(value < 10 ? 1 : 0)} µs`;

/** What the delay is good for. */
function delay({ delay_ms, look_ahead_ms, wobble_ms }: Answer): string {
  const parts = [
    look_ahead_ms > 0 ? `${ms(look_ahead_ms)} of look-ahead` : '',
    `${ms(delay_ms - look_ahead_ms - wobble_ms)} so that late frames still count`,
    wobble_ms > 0 ? `${ms(wobble_ms)} to cure the wobble` : '',
  ].filter((part) => part !== '');
  if (parts.length === 1) return `${String(delay_ms)} ms, constant and intended, so that late frames still count`;
  return `${ms(delay_ms)}, constant and intended: ${parts.join(', ')}`;
}

function timing(answer: Answer): Row[] {
  const { latency_ms, tick_us, late, lost, starved } = answer;
  const line =
    latency_ms.max > 0
      ? `takes ${ms(latency_ms.p50)} typically, ${ms(latency_ms.max)} at most`
      : 'perfect, without delay (--latency-ms, --jitter-ms and --loss simulate a poor one)';
  const faults = `${counted(lost, 'frame')} lost, ${String(late)} late, ${counted(starved, 'tick')} without a newer frame`;
  const tick =
    tick_us &&
    `${us(tick_us.p50)} typically, ${us(tick_us.p99)} in the slowest 1 %, of ${us(tick_us.budget)} available`;
  return [
    ['delay', delay(answer)],
    ['line', `${line}; ${faults}`],
    ...(tick_us && tick ? [['tick', `${tick}, measured on ${tick_us.clock}`] as const] : []),
  ];
}

/** The plate's own path, seen from what carries it: a joint below it that comes late does not show here. */
function path({ platform }: Rig, { path: { peak_mm, peak_deg, at_s }, tolerance }: Answer): Row[] {
  if (!platform) return [];
  const seen = platform.on === null ? '' : `, seen from ${platform.on},`;
  const worst = `the moving plate${seen} is at worst ${peak_mm.toFixed(2)} mm and ${peak_deg.toFixed(2)} deg from what was asked, at ${at_s.toFixed(2)} s`;
  return [['path', `${worst} (allowed ${String(tolerance.mm)} mm and ${String(tolerance.deg)} deg)`]];
}

/** How far the rig's responses moved what is asked; all else is measured against that. */
function responseRows({ responses, response_faults }: Answer): Row[] {
  if (responses === null) return [];
  const { failed = null, dropped = null } = response_faults ?? {};
  const moved = responses.map(({ column, moved: by, at_s }) => {
    const [, name = column, unit = ''] = /^(.*)_(deg|mm)$/.exec(column) ?? [];
    const far = isFar(unit === 'mm' ? unit : 'deg', by) ? ' (further than any prop is moved: is that meant?)' : '';
    return `${name} by up to ${by.toFixed(2)} ${unit}, at ${at_s.toFixed(2)} s${far}`;
  });
  return [
    ...(failed ? [['responses', `failed ${whenWords(failed)}, and are switched off from there on`] as const] : []),
    ...(moved.length > 0 ? [['responses', `move what is asked: ${moved.join('; ')}`] as const] : []),
    ...(dropped
      ? [
          [
            'responses',
            `ask for what is no number: dropped ${counted(dropped.count, 'time')}, first ${whenWords(dropped)}`,
          ] as const,
        ]
      : []),
    ...(moved.length === 0 && !failed && !dropped ? [['responses', 'change nothing that is asked here'] as const] : []),
  ];
}

/** How far, and beneath it when; for what nobody sees no time is told. */
const furthest = (value: number, unit: string, at_s: number): string =>
  `${value.toFixed(2)} ${unit}${value >= VISIBLE ? `\nat ${at_s.toFixed(2)} s` : ''}`;

function jointTable(rig: Rig, answer: Answer): string {
  const limits = new Map(rig.joints.map((joint) => [joint.name, joint]));
  const of = (value: number, joint: Joint | undefined, limit: (joint: Joint) => number): string =>
    joint ? `${value.toFixed(0)} of ${toShown(joint, limit(joint)).toFixed(0)}` : value.toFixed(0);
  const row = (joint: JointAnswer): string[] => {
    const own = limits.get(joint.name);
    const { unit } = joint;
    return [
      joint.name,
      `${fixed(joint.min, 1)} … ${fixed(joint.max, 1)} ${unit}`,
      `${of(joint.peak_speed, own, (j) => j.speed)} ${unit}/s`,
      `${of(joint.peak_plus, own, (j) => j.plus)} ${unit}/s²`,
      `${of(joint.peak_minus, own, (j) => j.minus)} ${unit}/s²`,
      furthest(joint.peak_error, unit, joint.peak_error_at_s),
      furthest(joint.past, unit, joint.past_at_s),
    ];
  };
  const heads = ['moves', 'peak speed', 'peak plus', 'peak minus', 'behind', 'past'];
  const rows = answer.joints.map(row);
  return `${table([{ head: 'joint', align: 'left' }, ...heads.map((head) => ({ head }))], rows)}\n${PEAKS_NOTE}`;
}

/** One line for each place and kind, with its first message: the list holds the first hundred only. */
function breachRows({ breaches, breach_count }: Answer): Row[] {
  const groups = new Map<string, Breach[]>();
  for (const breach of breaches) {
    const key = `${breach.where} ${breach.what}`;
    groups.set(key, [...(groups.get(key) ?? []), breach]);
  }
  const rows = [...groups.values()].flatMap((group): Row[] => {
    const [first] = group;
    if (!first) return [];
    const more = group.length > 1 ? `; ${counted(group.length, 'time')} in the list` : '';
    const when = breachTime(first);
    return [['', `${first.message}${when === '' ? '' : `, first ${when}`}${more}`]];
  });
  return rows.length === 0 ? [] : [['limits broken', `on ${counted(breach_count, 'occasion')} in all:`], ...rows];
}

const MOST_STOPS = 3;

function stops({ stopped_by }: Answer): Row[] {
  if (stopped_by.length === 0) return [];
  const sorted = [...stopped_by].sort((a, b) => b.frames - a.frames);
  const words = sorted
    .slice(0, MOST_STOPS)
    .map(({ joint, cause, frames }) => `${joint}, ${causeWords(cause)} (${counted(frames, 'time')})`);
  const more = sorted.length > MOST_STOPS ? ` and ${String(sorted.length - MOST_STOPS)} more` : '';
  return [['stopped by', words.join('; ') + more]];
}

/** A servo that holds a load hangs behind by a degree or so; more than this is seen. Deg or mm (ours). */
const SEEN_DEG = 1.5;

/** The joints whose metal does not do what the controller says, worst first. */
function metalRows(answer: Answer): Row[] {
  const { joints, metal, seconds } = answer;
  if (!metal) return [];
  const end = metal.falls ?? metal.unsure;
  const until = end ? `the ${end.at_s.toFixed(2)} s until then` : `${seconds.toFixed(1)} s`;
  const rows = joints
    .flatMap(({ name, unit, metal: m }) => (m ? [{ name, unit, ...m }] : []))
    .filter(({ saturated_ms, tracking_error }) => saturated_ms > 0 || tracking_error > SEEN_DEG)
    .sort((a, b) => b.saturated_ms - a.saturated_ms || b.tracking_error - a.tracking_error)
    .map(({ name, unit, ...m }): Row => {
      const torque =
        m.saturated_ms > 0
          ? `out of ${effortOf([{ unit }])} for ${milliseconds(m.saturated_ms)} of ${until}`
          : `never out of ${effortOf([{ unit }])}`;
      const use =
        m.peak_use === null
          ? ''
          : `; its motion asks for up to ${(m.peak_use * 100).toFixed(0)} % of the ${effortOf([{ unit }])} its servo has`;
      if (m.falls_at_s !== null) return ['', `${name}: ${torque}${use}, until it falls`];
      const behind = `${m.tracking_error.toFixed(1)} ${unit} behind its command at ${m.tracking_error_at_s.toFixed(2)} s`;
      const on = `at most ${m.overrun.toFixed(1)} ${unit} ahead of it, swings by ${m.wobble.toFixed(2)} ${unit} after a stop`;
      return ['', `${name}: ${torque}${use}; ${behind}, ${on}`];
    });
  const fell: Row[] = metal.falls
    ? [['', `${metal.falls.what} falls at ${metal.falls.at_s.toFixed(2)} s: what comes after is not simulated`]]
    : [];
  const unsure = unsureWords(answer);
  const lost: Row[] = unsure === null ? [] : [['', unsure]];
  const head = metalHead(answer, rows.length + fell.length + lost.length > 0);
  return [['the prop', head], ...fell, ...lost, ...rows, ['based on', metal.rests_on.join('; ')]];
}

/** Whose servos and loads were simulated, and whether they follow. */
function metalHead(answer: Answer, isTold: boolean): string {
  const { simulated } = metalNames(answer);
  const exact = exactWords(answer);
  if (exact === null)
    return isTold ? 'simulated, with weights and servos:' : 'follows, with weights and servos simulated';
  if (simulated.length === 0) return `not simulated: ${exact}`;
  const is = simulated.length === 1;
  const what = isTold
    ? `${is ? 'is' : 'are'} simulated, with ${is ? 'its weight and servo' : 'their weights and servos'}`
    : `${is ? 'follows, its weight and servo' : 'follow, their weights and servos'} simulated`;
  return `${namesWords(simulated)} ${what}; ${exact}${isTold ? ':' : ''}`;
}

/** What to do about a recording that shakes, where it is not smooth. */
function noiseRows(answer: Answer, { rig, shaking }: Names): Row[] {
  if (shaking.length === 0 || willItBeSmooth(answer).word === 'yes') return [];
  const cure = `"posewright retime ${rig} ${answer.stream} --smooth -o FILE.csv" removes it`;
  return [['noise', `${shakingWords(shaking)}; ${cure}`]];
}

function next(answer: Answer, { rig, report }: Names): string {
  const place =
    report === null
      ? 'add --report FILE.html for charts and a picture of the worst moment'
      : `${report} shows the worst moment and a chart of each joint`;
  if (answer.beyond.length > 0)
    return `${place}; "posewright retime ${rig} ${answer.stream} --fit" moves it within the soft limits`;
  const then = answer.unreachable > 0 ? `; "posewright solve ${rig} --pose …" says what stops a single pose` : '';
  return place + then;
}

/** The whole text, with its last line end. */
export function replayWords(rig: Rig, answer: Answer, names: Names, io: Io): string {
  const colours = coloursOf(io, io.stdout);
  const width = widthOf(io.stdout);
  const verdicts = [canItGetThere(answer), willItBeSmooth(answer)].map(({ question, word, because }): Row => [
    question,
    `${toldIn(word, io)}: ${because}`,
  ]);
  const played = `${answer.rig} plays ${answer.stream}: ${answer.seconds.toFixed(1)} s, ${counted(answer.frames, 'frame')}, on ${answer.target}`;
  const figures: Row[] = [...timing(answer), ...path(rig, answer), ...stops(answer), ...responseRows(answer)];
  const end: Row[] = [
    ...metalRows(answer),
    ...breachRows(answer),
    [
      'what this was',
      `${provenWords(answer.proven)}${answer.proven === 'hardware' ? '' : '; nothing here has run on a board'}`,
    ],
    ...noiseRows(answer, names),
    ['overall', inAll(answer)],
    ...(names.output === null
      ? []
      : [['output', `${names.output} holds the motion that came out, as a stream`] as const]),
    ['next', next(answer, names)],
  ];
  const label = Math.max(...[...verdicts, ...figures, ...end].map(([text]) => text.length)) + 2;
  const parts = [
    labelled([...verdicts, ...figures], width, label),
    jointTable(rig, answer),
    labelled(end, width, label),
  ];
  return `${colours.bold(played)}\n\n${parts.join('\n\n')}\n`;
}

/** What the exit code says, in words. */
function inAll(answer: Answer): string {
  if (answer.ok) return willItBeSmooth(answer).word === 'no' ? 'within limits, but not smooth' : 'within limits';
  const short = answer.joints.filter(({ metal }) => (metal?.saturated_ms ?? 0) > 0);
  const reasons = [
    answer.breach_count > 0 ? 'limits were broken' : '',
    answer.late > 0 ? 'frames came late' : '',
    answer.starved > 0 ? 'ticks had no newer frame' : '',
    answer.unreachable > 0 ? 'poses are out of reach' : '',
    answer.beyond.length > 0 ? 'joints are asked to go beyond their soft limits' : '',
    withinTolerance(answer) ? '' : 'the path is further off than allowed',
    answer.metal?.falls ? `in simulation ${answer.metal.falls.what} falls` : '',
    answer.metal?.unsure ? 'the simulation cannot tell' : '',
    followsOnMetal(answer) || answer.metal?.falls || short.length === 0
      ? ''
      : `in simulation a servo runs out of ${effortOf(short)} and cannot follow`,
  ];
  return `out of limits: ${reasons.filter((reason) => reason !== '').join(', ')}`;
}
