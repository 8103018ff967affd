/** Numbers in words a maker reads: sensible digits, true minus signs, and always a unit that stays on the same line. */

const NO_BREAK = '\u00a0';

const usualDigits = (value: number): number => {
  const size = Math.abs(value);
  return Number.isInteger(value) || size >= 100 ? 0 : size >= 10 ? 1 : 2;
};

/**
 * A number to `digits` decimals (default: none for whole numbers, else about three significant). Not finite: a dash.
 * From 10 000 on, thousands are set apart by a narrow space (ISO 80000-1).
 */
export function number(value: number, digits = usualDigits(value)): string {
  if (!Number.isFinite(value)) return '–';
  const plain = Math.abs(value).toFixed(digits);
  const [whole = '', rest] = plain.split('.');
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, '\u202f') : whole;
  const sign = value < 0 && Number(plain) !== 0 ? '\u2212' : '';
  return sign + grouped + (rest === undefined ? '' : `.${rest}`);
}

/** A number with its unit, unbreakable between the two. */
export const figure = (value: number, unit: string, digits?: number): string =>
  `${number(value, digits)}${NO_BREAK}${unit}`;

/** A limit or setting: as round as it was written, though it went through radians. */
export const setting = (value: number, unit: string): string => figure(settled(value), unit);

/** Without what conversions add in the tenth decimal. */
export const settled = (value: number): number => Math.round(value * 1e4) / 1e4;

/** A distance that something stays within: never less than a hundredth, so that it never reads 0. */
export const within = (value: number, unit: string): string => figure(Math.max(value, 0.01), unit, 2);

/** A count with its noun: `1 tick`, `12 ticks`. */
export const count = (n: number, noun: string): string => figure(n, n === 1 ? noun : `${noun}s`, 0);

/** A share as percent; what is above nothing never reads 0 %, what is below all never reads 100 %. */
export function percent(share: number): string {
  if (share > 0 && share < 0.001) return `under${NO_BREAK}0.1${NO_BREAK}%`;
  if (share < 1 && share > 0.999) return `over${NO_BREAK}99.9${NO_BREAK}%`;
  return figure(share * 100, '%', share > 0 && share < 0.0995 ? 1 : 0);
}

/** A sentence in which figures keep their units on the same line, and negative ones have a true minus. */
export const kept = (words: string): string =>
  words
    .replace(/(^|[ (])-(?=\d)/g, '$1\u2212')
    .replace(/(\d) (?=(?:kgf·cm|deg|mm|kg|g|Hz|ms|us|s|N·m|N|A)\b|%)/g, `$1${NO_BREAK}`);
