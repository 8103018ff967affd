/** The board in words: what state it is in, whom it follows, and how it is woken, settled and given the take. */
import type { JSX } from 'preact';
import { about, boardSays, drives, take } from '../state.ts';
import { askLine, playOnBoard } from './line.ts';
import { slowWords, stateWords } from './words.ts';

/** What the board says of itself, a sentence. */
export function boardWords(): string {
  const says = boardSays.value;
  if (about.value?.on == null) return 'No board: start the stage with --on to play on one.';
  if (drives.value === null) return 'The server is gone, so the board hears nothing and holds, then settles by itself.';
  const role = drives.value ? '' : ' Another page drives; this one watches.';
  if (!says) return `The board at ${about.value.on} has not been asked yet.${role}`;
  const late = says.late > 0 ? ` ${String(says.late)} frames came late.` : '';
  return `The board at ${about.value.on} is ${stateWords(says, drives.value)}.${slowWords(says)}${late}${role}`;
}

export function Board(): JSX.Element {
  const isThere = about.value?.on != null && drives.value !== null;
  const mayDrive = isThere && drives.value === true;
  return (
    <section aria-labelledby="board-title">
      <h2 id="board-title">Board</h2>
      <p>{boardWords()}</p>
      <p class="acts">
        {boardSays.value?.state === 'tripped' && (
          <button type="button" disabled={!mayDrive} onClick={() => askLine({ do: 'clear' })}>
            Clear
          </button>
        )}
        <button type="button" disabled={!mayDrive} onClick={() => askLine({ do: 'rouse' })}>
          Rouse the board
        </button>
        <button type="button" disabled={!isThere} onClick={() => askLine({ do: 'settle' })}>
          Settle the board
        </button>
        <button type="button" disabled={!mayDrive} onClick={() => void playOnBoard()}>
          Save and play {take.value.name} on the board
        </button>
        {isThere && !mayDrive && (
          <button type="button" onClick={() => askLine({ do: 'drive' })}>
            Drive from this page
          </button>
        )}
      </p>
    </section>
  );
}
