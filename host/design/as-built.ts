/** What is left of the travels that were asked when a design is built no more exactly than the want says, in words. */
import { counted, short } from '../rig/words.ts';
import type { Must } from './want/want.ts';

/** 5th percentile of the least travel as built, as a share of what is asked; null: nothing is asked, or it is built exactly. */
interface AsBuilt {
  readonly robust: number | null;
}

export const isShortAsBuilt = ({ robust }: AsBuilt): boolean => robust !== null && !(robust >= 1);

/** What falls short never reads 100 %; empty: nothing to tell. */
export function asBuiltPercent(own: AsBuilt): string {
  if (own.robust === null) return '';
  const rounded = Math.round(100 * own.robust);
  return `${String(isShortAsBuilt(own) ? Math.min(99, rounded) : rounded)} %`;
}

/** Of design i, without a stop; the designs lie in order of their travel. Empty: nothing to tell. */
export function asBuiltWords(all: readonly AsBuilt[], i: number, { built_within_mm }: Must): string {
  const own = all[i]!;
  if (own.robust === null) return '';
  const share = `as built ${asBuiltPercent(own)}`;
  if (!isShortAsBuilt(own)) return share;
  const other = all.findLastIndex((one, k) => k < i && !isShortAsBuilt(one));
  const near = other >= 0 ? other : all.findIndex((one) => !isShortAsBuilt(one));
  return `${share}: drill closer than ${short(built_within_mm, 2)} mm${near >= 0 ? `, or take ${String(near + 1)}` : ''}`;
}

/** `8 designs do what was asked; as built, 5 of them`, without a stop. */
export function doneWords(all: readonly AsBuilt[], { built_within_mm }: Must): string {
  const whole = `${counted(all.length, 'design')} that ${all.length === 1 ? 'does' : 'do'} what was asked`;
  const firm = all.filter((one) => !isShortAsBuilt(one)).length;
  if (firm === all.length) return whole;
  const drawn = `${whole} as drawn; with joints off by ${short(built_within_mm, 2)} mm`;
  return firm === 0
    ? `${drawn}, none does quite`
    : `${drawn}, ${String(firm)} of them still ${firm === 1 ? 'does' : 'do'}`;
}
