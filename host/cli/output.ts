/** How commands speak: one JSON document, tables without box drawing, and lists of what is wrong. Knows no command. */
import Table from 'cli-table3';
import { plainJson, plainText } from '../rig/plain-text.ts';
import { type Io, type Writer, coloursOf } from './io.ts';
import { counted } from '../rig/words.ts';

/** Something wrong with what was given, where it stands, in words. */
export interface Problem {
  /** The file, or the option; as the user wrote it. */
  readonly file: string;
  /** Counted from 1; 0: the whole file. */
  readonly line: number;
  /** Key path or column; '' when there is none. */
  readonly path: string;
  readonly message: string;
  readonly severity: 'error' | 'warning';
}

/** A problem of a whole file or option. */
export const problemOf = (file: string, message: string): Problem => ({
  file,
  line: 0,
  path: '',
  message,
  severity: 'error',
});

/** The one document of `--json`. Figures that are not finite become null. */
export const printJson = (io: Io, document: unknown): void => {
  io.stdout.write(`${plainJson(JSON.stringify(document, null, 2))}\n`);
};

const BARE = {
  top: '',
  'top-mid': '',
  'top-left': '',
  'top-right': '',
  bottom: '',
  'bottom-mid': '',
  'bottom-left': '',
  'bottom-right': '',
  left: '',
  'left-mid': '',
  mid: '',
  'mid-mid': '',
  right: '',
  'right-mid': '',
  middle: '  ',
};
const STYLE = { 'padding-left': 0, 'padding-right': 0, head: [], border: [], compact: true };

const trimmed = (table: Table.Table): string => table.toString().replace(/[ ]+$/gm, '');

export interface Column {
  readonly head: string;
  readonly align?: 'left' | 'right';
}

/** Rows under their heads, two spaces apart; columns are right-aligned unless they say otherwise. */
export function table(columns: readonly Column[], rows: readonly (readonly string[])[]): string {
  const head = columns.map((column) => column.head);
  const made = new Table({
    head,
    chars: BARE,
    style: STYLE,
    colAligns: columns.map((column) => column.align ?? 'right'),
  });
  made.push(...rows.map((row) => [...row]));
  return trimmed(made);
}

/** A name and the text beside it. */
export type Row = readonly [label: string, text: string];

/** Names on the left, running text on the right, wrapped to `width` columns. */
export function labelled(rows: readonly Row[], width: number, indent = 0): string {
  const longest = indent || Math.max(...rows.map(([label]) => label.length)) + 2;
  const made = new Table({
    chars: { ...BARE, middle: '' },
    style: STYLE,
    colWidths: [longest, Math.max(20, width - longest)],
    wordWrap: true,
  });
  made.push(...rows.map(([label, text]) => [label, plainSpaces(text)]));
  return trimmed(made);
}

/** A number to `digits` decimals that never reads -0. */
export const fixed = (value: number, digits: number): string => {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace('-', '') : text;
};

/** Text of several lines without what else steers a terminal. */
export const plainLines = (text: string): string => text.split('\n').map(plainText).join('\n');

/** Unbreakable and narrow spaces are for pages; a terminal's copy and search want plain ones. */
export const plainSpaces = (text: string): string => text.replace(/[\u00a0\u202f]/g, ' ');

/** Every problem as `file:line  path  message`, file by file in the order given, then how many there are. */
export function printProblems(io: Io, stream: Writer, problems: readonly Problem[]): void {
  if (problems.length === 0) return;
  const colours = coloursOf(io, stream);
  const files = [...new Set(problems.map((problem) => problem.file))];
  const grouped = files.flatMap((file) => problems.filter((problem) => problem.file === file));
  const place = ({ file, line }: Problem): string => plainText(line > 0 ? `${file}:${String(line)}` : file);
  const widest = Math.max(...grouped.map((problem) => place(problem).length));
  for (const problem of grouped) {
    const mark = problem.severity === 'warning' ? `${colours.yellow('warning:')} ` : '';
    const path = problem.path === '' ? '' : `${colours.bold(plainText(problem.path))}  `;
    stream.write(`${place(problem).padEnd(widest)}  ${path}${mark}${plainText(problem.message)}\n`);
  }
  const errors = problems.filter((problem) => problem.severity === 'error').length;
  const warnings = problems.length - errors;
  const counts = [errors > 0 ? counted(errors, 'error') : '', warnings > 0 ? counted(warnings, 'warning') : ''];
  stream.write(`${counts.filter((words) => words !== '').join(', ')}\n`);
}

/** Ends a command that cannot do its work: the problems on standard error, and as the JSON document where one was asked for. */
export function refuse(io: Io, json: boolean, problems: readonly Problem[]): 2 {
  if (json) printJson(io, { ok: false, problems });
  printProblems(io, io.stderr, problems);
  return 2;
}
