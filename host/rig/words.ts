/** How the reader speaks of what it found: values, lists of names, figures. Plain words, no markup. */
import { distance } from 'fastest-levenshtein';
import { shortText } from './plain-text.ts';

/** Of a word of the file that is told. */
export const LONGEST = 40;

/** A value of the file as its writer would recognise it. */
export function found(value: unknown): string {
  if (value === null || value === undefined) return 'nothing';
  if (typeof value === 'string') return `"${shortText(value, LONGEST)}"${hint(value)}`;
  if (typeof value === 'number') return numberWords(value);
  if (Array.isArray(value)) return listWords(value);
  return typeof value === 'boolean' ? String(value) : 'a group of keys';
}

function numberWords(value: number): string {
  if (Number.isNaN(value)) return 'not a number (.nan)';
  return Number.isFinite(value) ? String(value) : 'a number without end (.inf, or too large to hold)';
}

function listWords(list: readonly unknown[]): string {
  const short = list.length <= 6 && list.every((item) => typeof item === 'number' || typeof item === 'string');
  const item = (value: unknown): string =>
    typeof value === 'number' ? numberWords(value) : shortText(String(value), LONGEST);
  return short ? `[${list.map(item).join(', ')}]` : `a list of ${String(list.length)}`;
}

/** What often goes wrong where a number is wanted. */
function hint(long: string): string {
  const text = long.slice(0, LONGEST);
  if (/^[-+]?\d+,\d+$/.test(text)) return ` (write a decimal point: ${text.replace(',', '.')})`;
  if (/^[-+]?\d[\d.]*\s*[a-z°µ"]/i.test(text)) return ' (the number alone: its unit is in the name of the key)';
  return '';
}

/** Up to `digits` decimals without trailing zeros, and no minus before a zero. */
export const short = (value: number, digits = 1): string => String(Number(value.toFixed(digits)) || 0);

/** A count with its noun: `1 tick`, `12 ticks`. */
export const counted = (n: number, noun: string): string => `${String(n)} ${noun}${n === 1 ? '' : 's'}`;

/** With its first letter large, to begin a sentence. */
export const capital = (words: string): string => `${words.slice(0, 1).toUpperCase()}${words.slice(1)}`;

/** `a, b or c`. */
export const either = (names: readonly string[]): string => joined(names, 'or');

/** `a, b and c`. */
export const together = (names: readonly string[]): string => joined(names, 'and');

const joined = (names: readonly string[], word: string): string =>
  names.length < 2 ? (names[0] ?? '') : `${names.slice(0, -1).join(', ')} ${word} ${names.at(-1) ?? ''}`;

/** A unit at the end of a name that is wrong or missing counts for little. */
const bare = (name: string): string => name.replace(/_(mm|cm|m|deg|rad|us|ms|s|kg|g|a|v|nm)$/, '');

/** The known name most like the one found; undefined when there is none. */
export function nearest(name: string, known: readonly string[]): string | undefined {
  const start = name.slice(0, LONGEST);
  const far = (other: string): number => distance(bare(start), bare(other)) + 0.1 * distance(start, other);
  return known.reduce<string | undefined>(
    (best, other) => (best === undefined || far(other) < far(best) ? other : best),
    undefined,
  );
}

/** Whether one name may be a slip for the other: less than half of it differs, units aside. */
export const isLike = (name: string, other: string): boolean =>
  distance(bare(name.slice(0, LONGEST)), bare(other)) <=
  Math.max(1, Math.min(bare(name).length, bare(other).length) / 2 - 0.5);
