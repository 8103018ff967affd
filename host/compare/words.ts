/** Figures of a comparison in words, the same in the terminal and on the page. */
import type { FigureRow, Unit } from './result.ts';
import { UNKNOWN } from '../rig/terms.ts';

const DIGITS: Readonly<Record<Unit, number>> = { mm: 1, deg: 1, share: 0, Hz: 1, A: 1 };

/** `31.8 deg`, `25 %`: no minus, since a way has its own row. */
export function valueWords({ unit, group }: FigureRow, value: number | null): string {
  if (value === null) return UNKNOWN;
  const shown = unit === 'share' ? 100 * value : group === 'travel' ? Math.abs(value) : value;
  return `${shown.toFixed(DIGITS[unit])} ${unit === 'share' ? '%' : unit}`;
}

/** In front of a figure: alike with the first rig's, or not to be told. */
export function sameMark({ same, alike }: FigureRow, i: number): '' | '≈ ' | '? ' {
  if (i === 0 || alike || same[i] === false) return '';
  return same[i] === true ? '≈ ' : '? ';
}

/** A figure and what to say beside it; where there is none, why. */
export function figureWords(row: FigureRow, i: number): { readonly value: string; readonly because: string } {
  const [value, because] = [row.values[i] ?? null, row.because[i] ?? ''];
  return value === null && because !== ''
    ? { value: because, because: '' }
    : { value: valueWords(row, value), because };
}

/** What `?` says. */
export const UNTOLD =
  'whether it differs cannot be told: with a figure off by as much as it may be, a rig has no such value';

export const GROUPS: Readonly<Record<FigureRow['group'], string>> = {
  travel: 'travel from home, alone, and what stops it',
  work: 'how hard it works',
  size: 'size',
};
