/** A take with all that was done to it: undo without end, since every take before is kept. */
import { type Edit, edited } from './edit.ts';
import type { Take } from './take.ts';

export interface History {
  readonly now: Take;
  /** Oldest first, with what was done to each. */
  readonly past: readonly { readonly take: Take; readonly words: string }[];
  /** Nearest first. */
  readonly future: readonly { readonly take: Take; readonly words: string }[];
}

export const historyOf = (take: Take): History => ({ now: take, past: [], future: [] });

/** @param words what is done, for the button that undoes it: `move Look`. */
export const done = ({ now, past }: History, edit: Edit, words: string): History => ({
  now: edited(now, edit),
  past: [...past, { take: now, words }],
  future: [],
});

export function undone(history: History): History {
  const last = history.past.at(-1);
  if (!last) return history;
  return {
    now: last.take,
    past: history.past.slice(0, -1),
    future: [{ take: history.now, words: last.words }, ...history.future],
  };
}

export function redone(history: History): History {
  const [next, ...rest] = history.future;
  if (!next) return history;
  return { now: next.take, past: [...history.past, { take: history.now, words: next.words }], future: rest };
}
