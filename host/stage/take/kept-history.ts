/** A take's past as text, to be had again when the page is opened anew: bounded, and given back only to the take that it was kept with. */
import type { History } from './history.ts';
import type { Take } from './take.ts';

/** So many takes back, and so many characters in all. */
const MOST_TAKES = 200;
const MOST_CHARACTERS = 2e6;

/** @param text of the take as it is now in its file. What does not fit is left out, oldest first. */
export function packedHistory({ past }: History, text: string): string {
  const kept: string[] = [];
  let size = text.length;
  for (const one of past.slice(-MOST_TAKES).reverse()) {
    const json = JSON.stringify(one);
    if ((size += json.length) > MOST_CHARACTERS) break;
    kept.unshift(json);
  }
  return `{"text":${JSON.stringify(text)},"past":[${kept.join()}]}`;
}

/** What was kept, as data from outside, for the take with this text. Null: it is another's, or none. */
export function unpackedPast(kept: string | null, text: string): History['past'] | null {
  try {
    const found = JSON.parse(kept ?? 'null') as { text?: unknown; past?: unknown } | null;
    if (found?.text !== text || !Array.isArray(found.past)) return null;
    return (found.past as unknown[]).every(isStep) ? (found.past as History['past']) : null;
  } catch {
    return null;
  }
}

type Loose<T> = { readonly [K in keyof T]?: unknown };
const isNumber = (value: unknown): boolean => Number.isFinite(value);
const all = (list: unknown, is: (one: never) => boolean): boolean =>
  Array.isArray(list) && list.every(is as () => boolean);

function isStep(step: unknown): boolean {
  const { take, words } = (step ?? {}) as Loose<History['past'][number]>;
  return typeof words === 'string' && isTake(take ?? {});
}

const isTake = ({ name, seconds, curves, marks, sound }: Loose<Take>): boolean =>
  typeof name === 'string' &&
  isNumber(seconds) &&
  all(curves, isCurve) &&
  all(marks, (mark: Loose<Take['marks'][number]>) => isNumber(mark?.t_s) && typeof mark.name === 'string') &&
  (sound === null || typeof sound === 'object');

const isCurve = (curve: Loose<Take['curves'][number]>): boolean =>
  typeof curve?.column === 'string' &&
  all(curve.keys, (key: Loose<Take['curves'][number]['keys'][number]>) => isNumber(key?.t_s) && isNumber(key.value)) &&
  (curve.detail === undefined || all(curve.detail, isNumber));
