/** What the options of `reach` mean: axes, a box of wanted poses, counts. */
import type { PoseAxis } from '../../physics/kinematics/travel.ts';
import { AXIS_NAMES, axisOf, fromShown, unitOf } from '../../reach/axes.ts';
import type { Range } from '../../reach/box.ts';
import { readNumber } from '../../stream/decimal.ts';
import { type Problem, problemOf } from '../output.ts';

const ALLOWED = AXIS_NAMES.join(', ');
const noAxis = (name: string): string => `"${name.trim()}" is no axis of a pose; allowed: ${ALLOWED}`;

interface Wrong {
  readonly problems: readonly Problem[];
}

const wrong = (option: string, ...messages: string[]): Wrong => ({
  problems: messages.map((message) => problemOf(option, message)),
});

/** Two different axes from `x,yaw`, or what is wrong with the text. */
export function readPlane(text: string): { plane: readonly [PoseAxis, PoseAxis] } | Wrong {
  const names = text.split(',');
  if (names.length !== 2)
    return wrong('--plane', `takes two axes with a comma between, such as x,yaw; found "${text}"`);
  const axes = names.map((name) => axisOf(name.trim()));
  const unknown = names.filter((_, i) => axes[i] === null);
  if (unknown.length > 0) return wrong('--plane', ...unknown.map(noAxis));
  const [across, up] = axes as [PoseAxis, PoseAxis];
  return across === up
    ? wrong('--plane', `names ${AXIS_NAMES[up]} twice: a map needs two axes`)
    : { plane: [across, up] };
}

const SHAPE = 'an axis and its range, such as x=-10..10';

function readRange(text: string): Range | string {
  const [, name, low, high] = /^([^=]*)=(.*?)\.\.(.*)$/.exec(text.trim()) ?? [];
  if (name === undefined || low === undefined || high === undefined) return `"${text.trim()}" is not ${SHAPE}`;
  const axis = axisOf(name.trim());
  if (axis === null) return noAxis(name);
  const ends = [low, high].map((cell) => (cell.trim() === '' ? 'is empty' : readNumber(cell)));
  const [from, to] = ends;
  if (typeof from !== 'number' || typeof to !== 'number')
    return `${name.trim()} ${String(ends.find((end) => typeof end === 'string'))}`;
  if (!(from < to))
    return `${name.trim()} goes from ${low.trim()} to ${high.trim()}; allowed: the first below the second`;
  if (unitOf(axis) === 'deg' && to - from > 360) return `${name.trim()} covers more than a whole turn, 360 degrees`;
  return { axis, from: fromShown(axis, from), to: fromShown(axis, to) };
}

/** The ranges in `x=-10..10,yaw=-15..15`, or all that is wrong with the text. */
export function readBox(text: string): { box: readonly Range[] } | Wrong {
  if (text.trim() === '') return wrong('--box', `takes ${SHAPE}, with commas between; found nothing`);
  const read = text.split(',').map(readRange);
  const box = read.filter((range) => typeof range !== 'string');
  const twice = box.filter(({ axis }, i) => box.findIndex((range) => range.axis === axis) < i);
  const faults = [
    ...read.filter((range) => typeof range === 'string'),
    ...twice.map(({ axis }) => `${AXIS_NAMES[axis]} stands there twice`),
  ];
  return faults.length > 0 ? wrong('--box', ...faults) : { box };
}

/** A whole number in a range, or what is wrong with the text. */
export function readWhole(option: string, text: string, least: number, most: number): { whole: number } | Wrong {
  const whole = text.trim() === '' ? NaN : Number(text);
  if (Number.isSafeInteger(whole) && whole >= least && whole <= most) return { whole };
  return wrong(option, `is "${text}"; allowed: a whole number from ${String(least)} to ${String(most)}`);
}
