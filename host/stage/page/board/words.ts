/** The board's state in words: what it does, and whom it follows. */
import type { BoardSays } from '../../line-words.ts';

const STATES: Readonly<Record<string, string>> = {
  limp: 'limp: no servo has a pulse',
  rousing: 'waking',
  live: 'awake',
  holding: 'holding still: nothing new comes',
  settling: 'going to its rest',
  tripped: 'given up',
};

/** @param drives whether this page drives it: the hand is its own */
const followWords = (follows: BoardSays['follows'], drives: boolean): string =>
  ({
    nothing: 'following nothing',
    hand: drives ? 'following your hand' : 'following the hand of the page that drives',
    take: 'following the take',
  })[follows];

/** What it is, after "the board is". */
export function stateWords({ state, trip, follows }: BoardSays, drives: boolean): string {
  const why = trip === null ? '' : `, since ${trip}`;
  const whom = state === 'live' || follows !== 'nothing' ? `, ${followWords(follows, drives)}` : '';
  return `${STATES[state] ?? state}${why}${whom}`;
}

/** For the status line, beside the prop that shows it. */
export function boardSentence(says: BoardSays, drives: boolean): string {
  const words = says.state === 'live' ? followWords(says.follows, drives) : stateWords(says, drives);
  return `the board: ${words}${drives ? '' : '; another page drives, this one watches'}`;
}
