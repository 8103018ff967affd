/** What is done most, in one row under the time line; what can be done with a stretch comes when one is chosen. */
import type { JSX } from 'preact';
import { cursor_s, history, redo, take, undo } from '../state.ts';
import { STRETCH, addKey, addMark, recordOrEnd, runStretch } from './commands.ts';
import { download, fails, saved } from './files.ts';
import { MarkWord } from './mark-word.tsx';
import { countIn, recording } from './recording.ts';
import { chosen, lane, seconds, zoom } from './view.ts';

const keyName = (key: string): string => (key === 'Backspace' ? '⌫' : key.toUpperCase());

function Stretch(): JSX.Element | null {
  const part = chosen.value;
  if (!part) return null;
  return (
    <div
      class="row"
      role="group"
      aria-label={`stretch ${seconds(part.from_s)} to ${seconds(part.to_s)} of ${lane.value?.name ?? ''}`}
    >
      <span class="hint">{`${seconds(part.from_s)} to ${seconds(part.to_s)}`}</span>
      {STRETCH.map((command) => (
        <button key={command.key} type="button" aria-keyshortcuts={command.key} onClick={() => runStretch(command)}>
          {command.name} <kbd>{keyName(command.key)}</kbd>
        </button>
      ))}
    </div>
  );
}

const recordWords = (): string =>
  countIn.value > 0
    ? `in ${String(countIn.value)}`
    : recording.value
      ? 'End recording'
      : `Record ${lane.value?.name ?? ''}${chosen.value ? ' in the stretch' : ''}`;

/** The only words of the bar that go with the cursor. */
const Instant = (): JSX.Element => (
  <span role="timer" aria-label="instant">{`${seconds(cursor_s.value)} of ${seconds(take.value.seconds)}`}</span>
);

function Undo(): JSX.Element {
  const [last, next] = [history.value.past.at(-1), history.value.future[0]];
  return (
    <>
      <button type="button" disabled={!last} onClick={undo}>
        {last ? `Undo: ${last.words}` : 'Undo'} <kbd>Ctrl Z</kbd>
      </button>
      {next && (
        <button type="button" onClick={redo}>
          {`Redo: ${next.words}`} <kbd>Ctrl Y</kbd>
        </button>
      )}
    </>
  );
}

export const Bar = (): JSX.Element => (
  <div class="bar">
    <div class="row">
      <button type="button" aria-keyshortcuts="r" aria-pressed={recording.value !== null} onClick={recordOrEnd}>
        {recordWords()} <kbd>R</kbd>
      </button>
      <Instant />
      <button type="button" aria-keyshortcuts="Enter" onClick={() => addKey()}>
        Set a key <kbd>Enter</kbd>
      </button>
      <button type="button" aria-keyshortcuts="k" onClick={addMark}>
        Mark <kbd>K</kbd>
      </button>
      <button type="button" aria-label="show more time" onClick={() => zoom(1 / 0.7)}>
        −
      </button>
      <button type="button" aria-label="show less time" onClick={() => zoom(0.7)}>
        +
      </button>
      <Undo />
      <span class="hint">{saved.value ? 'saved' : fails.value ? 'not saved: tries again' : 'saves in a moment'}</span>
      {fails.value && (
        <button type="button" onClick={download}>
          Keep it as a file
        </button>
      )}
    </div>
    <Stretch />
    {take.value.marks.length > 0 && <MarkWord />}
  </div>
);
