/** What `compare` prints: keys that differ, figures that differ, and what is alike. */
import { shownValue } from '../../compare/keys.ts';
import type { Comparison, FigureRow } from '../../compare/result.ts';
import { GROUPS, UNTOLD, figureWords, sameMark } from '../../compare/words.ts';
import { counted, together } from '../../rig/words.ts';
import { type Io, coloursOf, widthOf } from '../io.ts';
import { labelled, table } from '../output.ts';

/** Keys outside of the platform that are listed. */
const OTHERS = 12;

function keyTable({ rigs, keys }: Comparison): string {
  if (keys.length === 0) return 'The files differ in nothing but words: every key has the same value.';
  const geometry = keys.filter(({ path }) => path.startsWith('platform.'));
  const others = keys.filter(({ path }) => !path.startsWith('platform.'));
  const rows = [...geometry, ...others.slice(0, OTHERS)].map(({ path, values }) => [
    path,
    ...values.map((value) => shownValue(path, value)),
  ]);
  const more = others.length - OTHERS;
  const rest = more > 0 ? `\nand ${counted(more, 'more key')}: --json and --report list all` : '';
  return `${table(columns('differs in the files', rigs), rows)}${rest}`;
}

const columns = (head: string, rigs: readonly string[]) => [
  { head, align: 'left' as const },
  ...rigs.map((name) => ({ head: name, align: 'left' as const })),
];

const cell = (row: FigureRow, i: number): string => {
  const { value, because } = figureWords(row, i);
  return `${sameMark(row, i)}${value}${because === '' ? '' : ` (${because})`}`;
};

function figureTables({ rigs, figures }: Comparison): string[] {
  return (['travel', 'work', 'size'] as const).flatMap((group) => {
    const rows = figures.filter((row) => row.group === group && !row.alike);
    if (rows.length === 0) return [];
    return [
      table(
        columns(GROUPS[group], rigs),
        rows.map((row) => [row.words, ...rigs.map((_, i) => cell(row, i))]),
      ),
    ];
  });
}

/** What differs by less than it may be off. */
function alikeWords(figures: readonly FigureRow[]): string | null {
  const alike = figures.filter((row) => row.alike);
  if (alike.length === 0) return null;
  const words = alike.map((row) => `${row.words} ${figureWords(row, 0).value}`);
  return alike.length === figures.length ? `everything: ${together(words)}` : together(words);
}

/** The whole text, with its last line end. */
export function compareWords(answer: Comparison, report: string | null, io: Io): string {
  const { rigs, stream, figures, ok } = answer;
  const title = coloursOf(io, io.stdout).bold(`${together(rigs)}${stream === null ? '' : ` along ${stream}`}`);
  const alike = alikeWords(figures);
  const over = rigs.filter((_, i) => ok[i] === false);
  const some = rigs.length > 2 && figures.some((row) => !row.alike && row.same.slice(1).includes(true));
  const rows = [
    ...(some ? [['≈', `alike with ${rigs[0] ?? ''}: it differs by less than it may be off`] as const] : []),
    ...(figures.some((row) => rigs.some((_, i) => sameMark(row, i) === '? ')) ? [['?', UNTOLD] as const] : []),
    ...(alike === null ? [] : [['alike', `${alike}: differences are within what they may be off`] as const]),
    ...(over.length > 0 ? [['beware', `${together(over)}: out of limits, "posewright load" says where`] as const] : []),
    ...(report === null ? [] : [['see also', `${report} shows it in pictures`] as const]),
  ];
  const notes = rows.length > 0 ? `\n\n${labelled(rows, widthOf(io.stdout))}` : '';
  return `${title}\n\n${[keyTable(answer), ...figureTables(answer)].join('\n\n')}${notes}\n`;
}
