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

export const GROUPS: Readonly<Record<FigureRow['group'], string>> = {
  travel: 'travel from home, alone, and what stops it',
  work: 'how hard it works',
  size: 'size',
};
