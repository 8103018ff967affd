/** What `reach` prints: a table of travel both ways along six axes, then how firmly the plate is held, and what was asked besides. */
import type { Plane, ReachAnswer } from '../../reach/result.ts';
import { axisSentences, costSentences } from '../../reach/strongest.ts';
import { boxWords, firmWords, placeWords, stopWords, unsureWords, wayWords } from '../../reach/words.ts';
import { type Io, coloursOf, widthOf } from '../io.ts';
import { fixed, labelled, table, type Row } from '../output.ts';

function travelTable({ axes }: ReachAnswer): string {
  const rows = axes.map((travel) => {
    const { axis, unit } = travel;
    const way = (side: 'minus' | 'plus'): string[] => {
      const stop = travel[`${side}_stop`];
      return [
        `${fixed(travel[side], 2)} ${unit}`,
        stop ? stopWords(stop) : 'nothing: half a turn',
        wayWords(axis, side),
      ];
    };
    return [axis, ...way('minus'), ...way('plus')];
  });
  const heads = [
    { head: 'negative' },
    { head: 'stopped by', align: 'left' as const },
    { head: '', align: 'left' as const },
  ];
  const again = [{ head: 'positive' }, ...heads.slice(1)];
  return table([{ head: 'axis', align: 'left' }, ...heads, ...again], rows);
}

/** Several sentences under one label. */
const under = (label: string, sentences: readonly string[]): Row[] =>
  sentences.map((sentence, i) => [i === 0 ? label : '', sentence]);

const MAP_COLUMNS = 61;
const MAP_ROWS = 21;

/** Every so-and-so-many-th of a list of `count`, its first and last included. */
const some = (count: number, shown: number): number[] =>
  Array.from({ length: shown }, (_, i) => Math.round((i * (count - 1)) / (shown - 1)));

/** A map in letters: capital for the leg's number would hide the cause, so that each pair has a letter of its own. */
function planeText({ axes, units, across, up, rows, letters }: Plane): string {
  const columns = some(rows[0]?.length ?? 0, MAP_COLUMNS);
  const shownRows = some(rows.length, MAP_ROWS).reverse();
  const picture = shownRows.map((r) => columns.map((c) => rows[r]?.[c] ?? ' ').join(''));
  const used = Object.entries(letters).filter(([letter]) => picture.some((line) => line.includes(letter)));
  const edge = (value: number, unit: string): string => `${fixed(value, 1)} ${unit}`;
  const [low, high] = up.map((value) => edge(value, units[1]));
  const left = Math.max((low ?? '').length, (high ?? '').length);
  const lines = picture.map((line, i) => {
    const label = i === 0 ? high : i === picture.length - 1 ? low : i === picture.length >> 1 ? axes[1] : '';
    return `${(label ?? '').padStart(left)}  ${line}`;
  });
  const [from, to] = across.map((value) => edge(value, units[0]));
  const gap = MAP_COLUMNS - (from ?? '').length - (to ?? '').length;
  const name = axes[0].padStart(Math.floor((gap + axes[0].length) / 2)).padEnd(gap);
  const foot = `${' '.repeat(left + 2)}${from ?? ''}${name}${to ?? ''}`;
  const legend = ['.  in reach', ...used.map(([letter, stop]) => `${letter}  ${stopWords(stop)}`)];
  return [...lines, foot, '', ...inColumns(legend)].join('\n');
}

const LEGEND_COLUMNS = 3;

function inColumns(items: readonly string[]): string[] {
  const width = Math.max(...items.map((item) => item.length)) + 4;
  const height = Math.ceil(items.length / LEGEND_COLUMNS);
  return Array.from({ length: height }, (_, r) =>
    items
      .filter((_, i) => i % height === r)
      .map((item) => item.padEnd(width))
      .join('')
      .trimEnd(),
  );
}

function boxRows({ box }: ReachAnswer): Row[] {
  if (!box) return [];
  const ranges = box.ranges.map(({ axis, unit, from, to }) => `${axis} ${String(from)} to ${String(to)} ${unit}`);
  return [['box', `${ranges.join(', ')}: ${boxWords(box)}`]];
}

/** Names of files for the words at the end, and whether a map is wanted here. */
export interface Asked {
  readonly rig: string;
  readonly report: string | null;
  readonly map: boolean;
}

function next({ changes, box }: ReachAnswer, { rig, report, map }: Asked): string {
  if (report !== null && changes) return `${report} shows the prop at the end of each travel, with maps and tables`;
  if (!changes) return `"posewright reach ${rig} --sensitivity" says which dimension would give more`;
  if (!box) return 'add --box with the ranges the show needs to see how much of it is in reach';
  if (!map) return 'add --plane with two axes for a map of what stops it where';
  return `change the dimension in the rig file, then "posewright check ${rig}"`;
}

/** The whole text, with its last line end. */
export function reachWords(answer: ReachAnswer, asked: Asked, io: Io): string {
  const colours = coloursOf(io, io.stdout);
  const { changes } = answer;
  const level = `at home the plates are ${answer.home_z_mm.toFixed(2)} mm apart`;
  const title = colours.bold(`${answer.rig}: how far it goes from ${placeWords(answer)}, one axis at a time`);
  const rows: Row[] = [
    ['held', firmWords(answer)],
    ...under('warning', answer.warnings),
    ...boxRows(answer),
    ...under('to go further', changes ? answer.axes.flatMap((travel) => axisSentences(travel, changes)) : []),
    ...under('cost', changes ? costSentences(answer) : []),
    ...under('not sure', answer.unsure.map(unsureWords)),
    ...under('based on', answer.rests_on),
    ['next', next(answer, asked)],
  ];
  const maps = asked.map ? answer.planes.slice(0, 1).map(planeText) : [];
  return `${title} (${level})\n\n${[travelTable(answer), ...maps, labelled(rows, widthOf(io.stdout))].join('\n\n')}\n`;
}
