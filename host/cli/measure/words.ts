/** What a measurement found, in a maker's words and as JSON. */
import { type Found, type Measurement, type Outcome, percentOf, rounded } from '../../bringup/measurement.ts';
import { plainText } from '../../rig/plain-text.ts';
import { type Io, widthOf } from '../io.ts';
import { type Row, labelled } from '../output.ts';

export interface Told {
  readonly measurement: Measurement;
  readonly outcome: Outcome;
  readonly file: string;
  /** Lines that change in the rig file; none: nothing does. */
  readonly difference: readonly string[];
  /** Where the old file is; null: nothing was written. */
  readonly kept: string | null;
}

/** `0.157 ± 0.012 N·m (7.6 %)`. */
function figureWords({ value, off, unit }: Found): string {
  const places = off > 0 && Number.isFinite(off) ? Math.min(12, Math.max(0, 1 - Math.floor(Math.log10(off)))) : 3;
  const small = Math.abs(value) > 0 && Math.abs(value) < 1e-3;
  const texts = [value, off].map((figure) => (small ? figure.toExponential(2) : figure.toFixed(places)));
  const share = Math.abs(value) > off ? ` (${String(percentOf({ value, off }))} %)` : '';
  return `${texts.join(' ± ')}${unit === '' ? '' : ` ${unit}`}${share}`;
}

function endRow({ outcome, file, difference, kept }: Told): Row {
  if (outcome.changes.length === 0) return ['written', 'nothing: there is no figure to write'];
  if (difference.length === 0) return ['written', `nothing: ${file} says so already`];
  if (kept === null)
    return ['next', `nothing written yet: -w writes this into ${file}, and keeps the old file beside it`];
  return ['written', `${file}; as it was: ${kept}`];
}

/** The whole text, with its last line end. */
export function measureWords(told: Told, io: Io): string {
  const { measurement, outcome, difference, kept } = told;
  const rows: Row[] = [
    ...outcome.found.map((found): Row => [found.what, figureWords(found)]),
    ...outcome.words.map((text, k): Row => [k === 0 ? 'note' : '', text]),
    ['how', measurement.how],
    ['by', measurement.source],
    ['within', 'what your tools may be off by, 19 times in 20; --help shows what is taken of each'],
  ];
  const width = widthOf(io.stdout);
  const shown =
    difference.length === 0
      ? ''
      : `\n${kept === null ? 'would change' : 'changed'}\n${difference.map((line) => `  ${plainText(line)}\n`).join('')}`;
  return `${measurement.caution}\n\n${labelled(rows, width)}\n${shown}\n${labelled([endRow(told)], width)}\n`;
}

export function measureJson({ measurement, outcome, difference, kept }: Told): Record<string, unknown> {
  return {
    ok: true,
    what: measurement.what,
    found: outcome.found.map(({ what, unit, value, off }) => ({
      what,
      unit,
      value: rounded(value),
      within: rounded(off),
    })),
    changes: outcome.changes.map(({ path, to }) => ({ path: path.join('.'), to })),
    notes: outcome.words,
    caution: measurement.caution,
    source: measurement.source,
    difference,
    kept,
  };
}
