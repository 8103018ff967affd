/** The board's state in words: what it does, and whom it follows. */
import type { NightState } from '../../../controller/night-messages.ts';
import type { BoardSays } from '../../line-words.ts';

const STATES: Readonly<Record<string, string>> = {
  limp: 'limp: no servo has a pulse',
  rousing: 'waking',
  live: 'awake',
  holding: 'holding still: nothing new comes',
  settling: 'going to its rest',
  tripped: 'given up',
};

/** It moves by its night, and refuses what the link asks of it. */
const ALONE: readonly NightState[] = ['rousing', 'crossing', 'playing', 'idle', 'ending'];

/** @param drives whether this page drives it: the hand is its own */
const followWords = (follows: BoardSays['follows'], drives: boolean): string =>
  ({
    nothing: 'following nothing',
    hand: drives ? 'following your hand' : 'following the hand of the page that drives',
    take: 'following the take',
  })[follows];

/** Light and sound go on for so long; null: they do not. */
function warningWords(moves_in_s: number | null): string | null {
  if (moves_in_s === null) return null;
  return `warning with light and sound: moves ${moves_in_s > 0 ? `in ${String(Math.ceil(moves_in_s))} s` : 'at any moment'}`;
}

const isAlone = ({ night }: BoardSays): boolean => night !== null && ALONE.includes(night);

/** What it is, after "the board is". */
export function stateWords(says: BoardSays, drives: boolean): string {
  const { state, trip, follows } = says;
  const warning = state === 'limp' ? warningWords(says.moves_in_s) : null;
  if (warning !== null) return warning;
  const why = trip === null ? '' : `, since ${trip}`;
  const whom = state === 'live' || follows !== 'nothing' ? `, ${followWords(follows, drives)}` : '';
  return `${STATES[state] ?? state}${why}${isAlone(says) ? ', playing its night alone' : whom}`;
}

/** For the status line, beside the prop that shows it. */
export function boardSentence(says: BoardSays, drives: boolean): string {
  const isFollowing = says.state === 'live' && !isAlone(says);
  const words = isFollowing ? followWords(says.follows, drives) : stateWords(says, drives);
  const slow = says.slow === null ? '' : ', slower than real time';
  return `the board: ${words}${slow}${drives ? '' : '; another page drives, this one watches'}`;
}

/** Why an emulated board takes longer than it should; '': it does not. */
export const slowWords = ({ slow }: BoardSays): string =>
  slow === null
    ? ''
    : ` Its emulator goes at ${slow > 0 ? slow.toFixed(1) : 'less than 0.1'} of real time: this computer is too busy for more.`;
