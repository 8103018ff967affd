/** What is connected, which control moves what, in words; pressing one of them assigns it anew. Nothing connected: nothing shown. */
import { useSignal } from '@preact/signals';
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { columnWords } from '../hand/controls.tsx';
import { moving } from '../hand/asking.ts';
import { columns } from '../state.ts';
import { canMidi, listen, map, openMidi, sources, waiting } from './listening.ts';

const WORDS = ['left stick across', 'left stick up and down', 'right stick across', 'right stick up and down'];

/** A control as people say it, by the W3C Gamepad's "standard" layout. */
function controlWords(control: string): string {
  const [kind, place] = control.split(' ');
  if (kind === 'stick') return WORDS[Number(place)] ?? control;
  if (control === 'button 6') return 'left trigger';
  return control === 'button 7' ? 'right trigger' : control;
}

function Mapping(): JSX.Element {
  const begin = (column: number): void => void (waiting.value = waiting.value === column ? null : column);
  const isNew = !map.value.some(({ column }) => column === moving.value);
  const words = (column: number): string => columnWords(columns.value[column] ?? '');
  return (
    <ul aria-label={`what ${sources.value.join(' and ')} moves`}>
      {map.value.map(({ control, column }) => (
        <li key={column}>
          <button type="button" aria-pressed={waiting.value === column} onClick={() => begin(column)}>
            {waiting.value === column ? 'move the stick or fader for it' : controlWords(control)}: {words(column)}
          </button>
        </li>
      ))}
      {isNew && (
        <li>
          <button type="button" aria-pressed={waiting.value === moving.value} onClick={() => begin(moving.value)}>
            {waiting.value === moving.value ? 'move the stick or fader for it' : 'nothing yet'}: {words(moving.value)}
          </button>
        </li>
      )}
    </ul>
  );
}

/** Asks the browser for MIDI, where it has it. */
export const MidiButton = (): JSX.Element | null =>
  canMidi() ? (
    <button type="button" onClick={() => void openMidi()}>
      listen to MIDI faders
    </button>
  ) : null;

export function Inputs(): JSX.Element | null {
  const isOpen = useSignal(false);
  useEffect(listen, []);
  if (sources.value.length === 0) return null;
  return (
    <div class="inputs" role="group" aria-label="gamepad and faders">
      <button type="button" aria-expanded={isOpen.value} onClick={() => (isOpen.value = !isOpen.value)}>
        {sources.value.join(' and ')}
      </button>
      {isOpen.value && <Mapping />}
    </div>
  );
}
