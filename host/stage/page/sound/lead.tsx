/** How late a joint is, from a film of it closing at a clap in the sound; it is then asked that much earlier, in play and in the file. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { lateFromFilm } from '../../take/jaw.ts';
import { change, said, take } from '../state.ts';
import { Figure } from './figure.tsx';
import { doing, headColumns, jointColumns } from './joints.ts';

const HEAD = 'head';
const joint = signal<string | null>(null);
const film = { heard: signal(0), seen: signal(0), rate_hz: signal(30) };
const MOST_MS = 1000;

const choices = (): string[] => [...(headColumns().length > 0 ? [HEAD] : []), ...jointColumns()];
/** The mouth first: it is what is seen to be late. */
const chosen = (): string =>
  joint.value ?? choices().find((name) => doing(name).startsWith('Mouth')) ?? choices()[0] ?? '';
const columnsOf = (name: string): string[] => (name === HEAD ? headColumns() : [name]);
const nameOf = (name: string): string => (name === HEAD ? 'Head: all it does' : doing(name));
const leadNow_ms = (): number => take.value.leads_ms?.[columnsOf(chosen())[0] ?? ''] ?? 0;

/** The film shows the joint as it is asked now: what it is late comes on top of its lead. */
function useFilm(): void {
  const late_ms = lateFromFilm(film.heard.value, film.seen.value, film.rate_hz.value);
  if (late_ms === null) {
    said.value = 'give the film’s frames a second: more than 0';
    return;
  }
  const lead_ms = leadNow_ms() + late_ms;
  if (!(lead_ms >= 0 && lead_ms <= MOST_MS)) {
    said.value = `these frames would make its lead ${String(lead_ms)} ms, and 0 to ${String(MOST_MS)} ms is allowed: check them`;
    return;
  }
  const name = nameOf(chosen());
  change({ kind: 'lead', columns: columnsOf(chosen()), lead_ms }, `ask ${name} ${String(lead_ms)} ms earlier`);
  film.heard.value = film.seen.value = 0;
  said.value = `${name} was ${String(late_ms)} ms late: it is asked ${String(lead_ms)} ms earlier than its keys`;
}

export const Lead = (): JSX.Element => (
  <details class="late">
    <summary>How late a joint is, from a filmed clap</summary>
    <div class="row">
      <label>
        joint{' '}
        <select value={chosen()} onChange={(event) => (joint.value = event.currentTarget.value)}>
          {choices().map((name) => (
            <option key={name} value={name}>
              {nameOf(name)}
            </option>
          ))}
        </select>
      </label>
      <span class="hint">{`asked ${String(leadNow_ms())} ms earlier than its keys`}</span>
    </div>
    <p class="hint">
      Let it close at a clap in the sound, play, and film it with a phone. Step through the film frame by frame.
    </p>
    <div class="row">
      <Figure
        words="frame in which the clap is heard"
        min={0}
        value={film.heard.value}
        set={(n) => (film.heard.value = n)}
      />
      <Figure
        words="frame in which it is seen shut"
        min={0}
        value={film.seen.value}
        set={(n) => (film.seen.value = n)}
      />
      <Figure words="frames a second" min={1} value={film.rate_hz.value} set={(n) => (film.rate_hz.value = n)} />
      <button type="button" onClick={useFilm}>
        Ask it that much earlier
      </button>
    </div>
  </details>
);
