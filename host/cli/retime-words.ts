/** What retiming did, in a maker's words, some twenty lines. */
import type { Bound } from '../retime/ticks.ts';
import type { Changed, Fitted, RetimeAnswer, RetimedJoint } from '../retime/result.ts';
import { type Io, coloursOf, widthOf } from './io.ts';
import { fixed, labelled, table } from './output.ts';

/** Names of files for the words at the end. */
export interface Names {
  readonly rig: string;
  readonly output: string;
}

type Row = readonly [label: string, text: string];

/** Places told one by one; the rest is counted. */
const MOST_PLACES = 4;

const seconds = (value: number): string => `${value.toFixed(2)} s`;
const counted = (n: number, noun: string): string => `${String(n)} ${noun}${n === 1 ? '' : 's'}`;

const ASKS: Readonly<Record<Bound, string>> = {
  speed: 'speed',
  plus: 'acceleration, plus',
  minus: 'acceleration, minus',
  torque: 'torque',
};

function fittedRows(fitted: readonly Fitted[]): Row[] {
  return fitted.map(({ name, unit, scale, centre, moved }, k): Row => {
    const size =
      scale === 1
        ? 'keeps its size'
        : `has ${(100 * scale).toFixed(0)} % of its size, about ${fixed(centre, 1)} ${unit}`;
    const place = moved === 0 ? '' : `${scale === 1 ? ' and' : ','} is moved by ${fixed(moved, 1)} ${unit}`;
    return [k === 0 ? 'fitted' : '', `${name} ${size}${place}`];
  });
}

/** A maker reads "1.8 times as long"; near 1 the percentage says more. */
const lengthWords = (by: number): string =>
  Math.abs(by - 1) < 0.095
    ? `${Math.abs(100 * (by - 1)).toFixed(1)} % ${by > 1 ? 'longer' : 'shorter'}`
    : `${by.toFixed(by < 10 ? 2 : 0)} times as long`;

function placeRows(label: string, places: readonly Changed[]): Row[] {
  const told = [...places]
    .sort((a, b) => Math.abs(b.to_s - b.from_s) * Math.abs(b.by - 1) - Math.abs(a.to_s - a.from_s) * Math.abs(a.by - 1))
    .slice(0, MOST_PLACES)
    .sort((a, b) => a.from_s - b.from_s);
  const rows = told.map(({ from_s, to_s, by, because }): string => {
    const why = because ? `: ${because.name} is asked for too much ${ASKS[because.bound]}` : '';
    return `${from_s.toFixed(2)} … ${seconds(to_s)} takes ${lengthWords(by)}${why}`;
  });
  if (places.length > told.length) rows.push(`and ${counted(places.length - told.length, 'place')} that cost less`);
  return rows.map((text, k): Row => [k === 0 ? label : '', text]);
}

function keptRows({ kept }: RetimeAnswer): Row[] {
  if (kept.length === 0) return [];
  const late = kept.filter(({ late_s }) => late_s > 0);
  if (late.length === 0) return [['kept', `${kept.map(({ at_s }) => `${String(at_s)} s`).join(', ')}: on time`]];
  return late.map(({ at_s, late_s }, k): Row => {
    const why = 'what lies before it cannot go faster';
    return [k === 0 ? 'not kept' : '', `${String(at_s)} s comes ${(1000 * late_s).toFixed(0)} ms late: ${why}`];
  });
}

const percent = (share: number | null): string => (share === null ? '?' : (100 * share).toFixed(0));

const isMoving = ({ before }: RetimedJoint): boolean => before.speed > 0;

function jointTable(joints: readonly RetimedJoint[]): string {
  const figures = (key: 'speed' | 'plus' | 'minus', joint: RetimedJoint): string =>
    `${joint.before[key].toFixed(0)} → ${joint.after[key].toFixed(0)} of ${joint.limits[key].toFixed(0)}`;
  const rows = joints
    .filter(isMoving)
    .map((joint) => [
      joint.name,
      `${figures('speed', joint)} ${joint.unit}/s`,
      `${figures('plus', joint)} ${joint.unit}/s²`,
      `${figures('minus', joint)} ${joint.unit}/s²`,
      `${percent(joint.before.use)} → ${percent(joint.after.use)} of ${percent(joint.limits.use)} %`,
    ]);
  const heads = ['peak speed', 'peak plus', 'peak minus', 'servo used'];
  return table([{ head: 'joint', align: 'left' }, ...heads.map((head) => ({ head }))], rows);
}

function headline(answer: RetimeAnswer, output: string): string {
  const { stream, seconds_before, seconds_after, slowed, hurried, fitted } = answer;
  if (slowed.length + hurried.length + fitted.length === 0)
    return `${answer.rig} can follow ${stream} as it is: written to ${output} unchanged`;
  const length =
    Math.abs(seconds_after - seconds_before) < 0.005
      ? `${seconds(seconds_before)}, as before`
      : `${seconds(seconds_before)} become ${seconds(seconds_after)}`;
  return `${stream} for ${answer.rig}: ${length}, in ${output}`;
}

/** The whole text, with its last line end. */
export function retimeWords(answer: RetimeAnswer, { rig, output }: Names, io: Io): string {
  const colours = coloursOf(io, io.stdout);
  const unchanged = answer.slowed.length + answer.hurried.length === 0;
  const rows: Row[] = [
    ...fittedRows(answer.fitted),
    ...placeRows('slowed', answer.slowed),
    ...placeRows('faster', answer.hurried),
    ...keptRows(answer),
    ...(unchanged ? [['slowed', 'nothing: every joint stays within its limits'] as const] : []),
    ...answer.gaps.map((words, k): Row => [k === 0 ? 'not counted' : '', words]),
  ];
  const end: Row[] = [
    ['in all', inAll(answer)],
    ['next', `posewright replay ${rig} ${output} plays it in simulation`],
  ];
  const label = Math.max(...[...rows, ...end].map(([text]) => text.length)) + 2;
  const width = widthOf(io.stdout);
  const parts = [labelled(rows, width, label), jointTable(answer.joints), labelled(end, width, label)];
  return `${colours.bold(headline(answer, output))}\n\n${parts.join('\n\n')}\n`;
}

const isOverloaded = ({ after, limits }: RetimedJoint): boolean => (after.use ?? 0) > limits.use * 1.001;

/** Pace is not the cure where weight alone is too much. */
const overloadWords = ({ name, after, limits }: RetimedJoint): string =>
  `the servo of ${name} gives ${percent(after.use)} % where ${percent(limits.use)} % is allowed, to hold its weight: slower does not help`;

/** What the exit code says, in words. */
function inAll({ ok, too_much_ticks, kept, joints, peak_use }: RetimeAnswer): string {
  if (ok)
    return `every joint within speed, plus${peak_use === null ? ' and minus' : ', minus and torque'} at every tick`;
  const late = kept.filter(({ late_s }) => late_s > 0).length;
  const reasons = [
    too_much_ticks > 0 ? `${counted(too_much_ticks, 'tick')} still ask for too much` : '',
    ...joints.filter(isOverloaded).map(overloadWords),
    late > 0 ? `${counted(late, 'beat')} of ${String(kept.length)} not on time` : '',
  ];
  return `out of limits: ${reasons.filter((reason) => reason !== '').join(', ')}`;
}
