/** The word of the mark at the cursor, to be written over: at once after the mark was put, Enter goes back to the time line. */
import { useComputed } from '@preact/signals';
import type { JSX } from 'preact';
import { useLayoutEffect, useRef } from 'preact/hooks';
import type { Mark } from '../../take/take.ts';
import { change, cursor_s, said, take } from '../state.ts';
import { naming_s } from './commands.ts';

/** A little more than half a frame, s. */
const HERE_S = 0.011;

/** The mark at the cursor; null: none. */
export const markHere = (): Mark | null =>
  take.value.marks.find(({ t_s }) => Math.abs(t_s - cursor_s.value) < HERE_S) ?? null;

function rename(here: Mark, typed: string): void {
  const name = typed.trim();
  if (name === '' || name === here.name) return;
  const marks = take.value.marks.map((mark) => (mark === here ? { ...mark, name } : mark));
  change({ kind: 'marks', marks }, `name a mark ${name}`);
  said.value = `${name} at ${here.t_s.toFixed(2)} s`;
}

export function MarkWord(): JSX.Element | null {
  const here = useComputed(markHere).value;
  const naming = naming_s.value;
  const field = useRef<HTMLInputElement>(null);
  // Before the next key comes: its letter belongs to the word.
  useLayoutEffect(() => {
    if (naming === null || !here) return;
    naming_s.value = null;
    field.current?.focus();
    field.current?.select();
  });
  if (!here) return null;
  return (
    <label class="row">
      word or beat here{' '}
      <input
        ref={field}
        value={here.name}
        maxLength={60}
        autocomplete="off"
        onChange={(event) => rename(here, event.currentTarget.value)}
        onKeyDown={(event) => {
          if (event.key === 'Enter') document.querySelector<HTMLElement>('.takes .time')?.focus();
        }}
      />
    </label>
  );
}
