/** What retiming did, in a maker's words, some twenty lines. */
import { effortOf } from '../../replay/words.ts';
import type { Changed, RetimeAnswer, RetimedJoint } from '../../retime/result.ts';
import {
  paceWords,
  besideLimit,
  canItFollow,
  fittedWords,
  isUnchanged,
  keptWords,
  lengthsWords,
  mostChanged,
  noiseWords,
  placeWords,
  smoothedWords,
  tempoWords,
  softenedWords,
  usedWords,
} from '../../retime/words.ts';
import { PLUS_MINUS_NOTE, UNKNOWN } from '../../rig/terms.ts';
import { counted } from '../../rig/words.ts';
import { type Io, coloursOf, widthOf } from '../io.ts';
import { labelled, table, type Row } from '../output.ts';

/** Names of files for the words at the end. */
export interface Names {
  readonly rig: string;
  readonly output: string;
  readonly report: string | null;
}

/** Places told one by one; the rest is counted. */
const MOST_PLACES = 4;

/** Several lines under one label. */
const rowsOf = (label: string, texts: readonly string[]): Row[] => texts.map((text, k) => [k === 0 ? label : '', text]);

function placeRows(label: string, places: readonly Changed[]): Row[] {
  const [told, more] = mostChanged(places, MOST_PLACES);
  const rest = more === 0 ? [] : [`and ${counted(more, 'more passage')} that cost${more === 1 ? 's' : ''} less`];
  return rowsOf(label, [...told.map(placeWords), ...rest]);
}

function jointTable(joints: readonly RetimedJoint[]): string {
  const figures = (key: 'speed' | 'plus' | 'minus', joint: RetimedJoint): string =>
    `${joint.before[key].toFixed(0)} → ${besideLimit(joint.after[key], joint.limits[key]).toFixed(0)} of ${joint.limits[key].toFixed(0)}`;
  const rows = joints
    .filter(({ before }) => before.speed > 0)
    .map((joint) => [
      joint.name,
      `${figures('speed', joint)} ${joint.unit}/s`,
      `${figures('plus', joint)} ${joint.unit}/s²`,
      `${figures('minus', joint)} ${joint.unit}/s²`,
      usedWords(joint)?.join(' → ') ?? UNKNOWN,
    ]);
  const heads = ['peak speed', 'peak plus', 'peak minus', `${effortOf(joints)} used`];
  const note = `Before → after, of the limit.\n${PLUS_MINUS_NOTE}`;
  return `${table([{ head: 'joint', align: 'left' }, ...heads.map((head) => ({ head }))], rows)}\n${note}`;
}

/** The whole text, with its last line end. */
export function retimeWords(answer: RetimeAnswer, { rig, output, report }: Names, io: Io): string {
  const colours = coloursOf(io, io.stdout);
  const unchanged = answer.ok
    ? `${answer.rig} can follow ${answer.stream} as it is: written to ${output} unchanged`
    : `${answer.rig} cannot follow ${answer.stream}, and slowing it would not help: written to ${output} unchanged`;
  const headline = isUnchanged(answer)
    ? unchanged
    : `${answer.stream} for ${answer.rig}: ${lengthsWords(answer)}, in ${output}`;
  const still = answer.slowed.length + answer.hurried.length === 0;
  const isLate = answer.kept.some(({ late_s }) => late_s > 0);
  const rows: Row[] = [
    ...rowsOf('smoothed', smoothedWords(answer)),
    ...rowsOf('fitted', answer.fitted.map(fittedWords)),
    ...rowsOf('tempo', tempoWords(answer)),
    ...rowsOf('softened', answer.softened.map(softenedWords)),
    ...placeRows('slowed', answer.slowed),
    ...placeRows('faster', answer.hurried),
    ...(still ? [['slowed', answer.ok ? 'nothing: every joint stays within its limits' : 'nothing'] as const] : []),
    ...rowsOf('pace', paceWords(answer)),
    ...rowsOf(isLate ? 'not kept' : 'kept', keptWords(answer)),
    ...rowsOf('noise', noiseWords(answer)),
    ...rowsOf(UNKNOWN, answer.gaps),
  ];
  const { word, because } = canItFollow(answer);
  const paint = word === 'yes' ? colours.green : colours.red;
  const look = report === null ? '; --report FILE.html shows what was slowed' : `; ${report} shows what was slowed`;
  const end: Row[] = [
    ['Can it follow now?', `${colours.bold(paint(word))}: ${because}`],
    ['next', `posewright replay ${rig} ${output} plays it in simulation${look}`],
  ];
  const label = Math.max(...[...rows, ...end].map(([text]) => text.length)) + 2;
  const width = widthOf(io.stdout);
  const moves = answer.joints.some(({ before }) => before.speed > 0);
  const joints = moves ? [jointTable(answer.joints)] : [];
  const parts = [labelled(rows, width, label), ...joints, labelled(end, width, label)];
  return `${colours.bold(headline)}\n\n${parts.join('\n\n')}\n`;
}
