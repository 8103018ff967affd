/** Why each design of a front is shown, in a few words: what it is best at, or between which others it lies. */
import type { Better } from './want/want.ts';

const BEST: Readonly<Record<Better, string>> = {
  travel: 'most spare travel',
  use: 'least torque used',
  frequency: 'stiffest',
  price: 'cheapest that holds',
  size: 'smallest',
};

const BALANCE = 'the best balance of all that counts';

/** In the name of a file that lies between two. */
const BETWEEN: Readonly<Record<Better, string>> = {
  travel: 'travel',
  use: 'torque',
  frequency: 'stiff',
  price: 'cheap',
  size: 'small',
};

/** Shares of the front's length that nobody would call better. */
const ALIKE = 1e-3;

/**
 * @param all objectives of the designs that are shown, smaller is better, in the order of `better`
 * @param alike by objective, what nobody would tell apart: where all differ by less, none is best at it
 * @returns for each, what it is best at; else the two ends it lies between
 */
export function reasonsOf(
  all: readonly ArrayLike<number>[],
  better: readonly Better[],
  alike: readonly number[] = [],
): string[] {
  if (all.length === 1) return ['the only design that is left'];
  const shares = sharesOf(all, better.length, alike);
  const ends = better.map((_, k) => winner(shares, k));
  const middle = balanced(shares);
  return shares.map((own, i) => {
    const best = better.filter((_, k) => ends[k] === i);
    const words = best.map((name) => BEST[name]).join(', ');
    // Of designs that are each worst at something, none is balanced.
    if (best.length > 0) return i === middle && worst(own) < 1 ? `${words}; ${BALANCE}` : words;
    if (i === middle) return BALANCE;
    const near = better
      .map((name, k) => ({ name, k, way: distance(own, shares[ends[k] ?? -1]) }))
      .filter(({ k }) => ends[k] !== null)
      .sort((a, b) => a.way - b.way || a.k - b.k);
    return `between ${near
      .slice(0, 2)
      .map(({ name }) => BEST[name])
      .join(' and ')}`;
  });
}

/** The best by an objective; of several, the one that is best in all others together. Null: all are alike. */
function winner(shares: readonly (readonly number[])[], k: number): number | null {
  if (shares.every((own) => own[k]! <= ALIKE)) return null;
  const total = (own: readonly number[]): number => own.reduce((sum, share) => sum + share, 0);
  const best = shares.filter((own) => own[k]! <= ALIKE).reduce((a, b) => (total(b) < total(a) ? b : a));
  return shares.indexOf(best);
}

/** 0: the best shown, 1: the worst, objective by objective; all 0 where they differ by less than `alike`. */
export function sharesOf(all: readonly ArrayLike<number>[], count: number, alike: readonly number[] = []): number[][] {
  const least = Array.from({ length: count }, (_, k) => Math.min(...all.map((own) => own[k]!)));
  const most = Array.from({ length: count }, (_, k) => Math.max(...all.map((own) => own[k]!)));
  return all.map((own) =>
    least.map((low, k) => {
      const length = most[k]! - low;
      return length > 1e-9 * Math.max(1, Math.abs(low)) && length >= (alike[k] ?? 0) ? (own[k]! - low) / length : 0;
    }),
  );
}

const worst = (own: readonly number[]): number => Math.max(...own);

/** The one whose worst share is least. */
function balanced(shares: readonly (readonly number[])[]): number {
  const all = shares.map(worst);
  return all.indexOf(Math.min(...all));
}

/** The design with the best balance. */
export const balancedOf = (all: readonly ArrayLike<number>[], count: number, alike: readonly number[] = []): number =>
  balanced(sharesOf(all, count, alike));

const distance = (a: readonly number[], b: readonly number[] | undefined): number =>
  b ? Math.hypot(...a.map((value, k) => value - b[k]!)) : Infinity;

/** For a file's name: the first few words; of what lies between two ends, what these are of. */
export const slugOf = (reason: string): string =>
  betweenSlug(reason) ??
  reason
    .replace(/^the /, '')
    .split(/[,;]/)[0]!
    .replace(/ (that holds|of all that counts|that is left)$/, '')
    .replace(/[^a-z]+/g, '-');

/** Null: it does not lie between two. */
function betweenSlug(reason: string): string | null {
  if (!reason.startsWith('between ')) return null;
  const names = (Object.keys(BEST) as Better[]).filter((name) => reason.includes(BEST[name]));
  const order = names.sort((a, b) => reason.indexOf(BEST[a]) - reason.indexOf(BEST[b]));
  return order.length === 0 ? 'between' : order.map((name) => BETWEEN[name]).join('-');
}
