/** What is done with the sound: chosen, shifted, the jaw taken from it, and how late each joint is. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { toDeg } from '../../../rig/rig.ts';
import { USUAL_JAW, jawColumn, leadFromFilm, loudness, openness } from '../../take/jaw.ts';
import { valueAt } from '../../take/curve.ts';
import { faded } from '../../take/record.ts';
import { FRAME_HZ, curveOf } from '../../take/take.ts';
import { change, columns, history, lanes, rig, said, take, undo } from '../state.ts';
import { useFile, voice } from './voice.ts';

const gain = signal(1);
const jaw = signal<string | null>(null);
const WORDS = 'take the jaw from the sound';

/** Home and the limit that is farther from it, deg. */
export function endsOf(column: string): { readonly home: number; readonly far: number } {
  const joint = rig.value?.joints.find(({ name }) => `${name}_deg` === column);
  if (!joint) return { home: 0, far: 0 };
  const { lo, hi, home } = joint;
  return { home: toDeg(home), far: toDeg(hi - home >= home - lo ? hi : lo) };
}

const jawName = (): string | null => jaw.value ?? lanes.value.find(({ name }) => name === 'Mouth')?.columns[0] ?? null;

/** Renewed with every touch of the gain: one edit in the end. */
function takeJaw(): void {
  const [heard, name] = [voice.value, jawName()];
  if (!heard || name === null) {
    said.value = heard ? 'choose the joint that is the jaw' : 'there is no sound yet';
    return;
  }
  if (history.value.past.at(-1)?.words === WORDS) undo();
  const shape = { ...USUAL_JAW, gain: gain.value };
  const open = openness(loudness(heard.audio, heard.buffer.sampleRate, shape), shape);
  const { home, far } = endsOf(name);
  const at_s = take.value.sound?.at_s ?? 0;
  const skipped = Math.max(0, Math.round(-at_s * 50));
  const from_s = Math.max(0, at_s);
  const under = curveOf(take.value, name)?.keys ?? [];
  const moved = faded(jawColumn(open.subarray(skipped), home, far), (n) => valueAt(under, from_s + n / FRAME_HZ));
  change({ kind: 'layer', from_s, samples: new Map([[name, moved]]) }, WORDS);
  said.value = `${name} follows the sound, gain ${gain.value.toFixed(1)}`;
}

const Jaw = (): JSX.Element => (
  <div class="row" role="group" aria-label="jaw from loudness">
    <label>
      jaw{' '}
      <select value={jawName() ?? ''} onChange={(event) => (jaw.value = event.currentTarget.value)}>
        {columns.value
          .filter((name) => rig.value?.joints.some((joint) => `${joint.name}_deg` === name))
          .map((name) => (
            <option key={name}>{name}</option>
          ))}
      </select>
    </label>
    <button type="button" disabled={!voice.value} onClick={takeJaw}>
      Take the jaw from the sound
    </button>
    <label>
      gain, {gain.value.toFixed(1)} times{' '}
      <input
        type="range"
        min="0.2"
        max="3"
        step="0.1"
        disabled={!voice.value}
        value={gain.value}
        onInput={(event) => {
          gain.value = Number(event.currentTarget.value);
          takeJaw();
        }}
      />
    </label>
  </div>
);

const film = { asked: signal(0), seen: signal(0), rate: signal(30) };

const Figure = (props: { words: string; of: { value: number } }): JSX.Element => (
  <label>
    {props.words}{' '}
    <input
      type="number"
      min="0"
      value={props.of.value}
      onInput={(event) => (props.of.value = Number(event.currentTarget.value))}
    />
  </label>
);

function useLead(): void {
  const [name, lead_ms] = [jawName(), leadFromFilm(film.asked.value, film.seen.value, film.rate.value)];
  if (name === null || lead_ms === null) {
    said.value = 'the frame in which it shuts comes after the one in which the clap is heard, within a second';
    return;
  }
  change({ kind: 'lead', column: name, lead_ms }, `lead ${name} by ${String(lead_ms)} ms`);
  said.value = `${name} is asked ${String(lead_ms)} ms earlier`;
}

const Lead = (): JSX.Element => (
  <fieldset>
    <legend>How late the jaw is, from a filmed clap</legend>
    <div class="row">
      <Figure words="frame in which the clap is heard" of={film.asked} />
      <Figure words="frame in which it is seen shut" of={film.seen} />
      <Figure words="frames a second" of={film.rate} />
      <button type="button" onClick={useLead}>
        Ask it that much earlier
      </button>
      <span class="hint">{`now ${String(take.value.leads_ms?.[jawName() ?? ''] ?? 0)} ms`}</span>
    </div>
  </fieldset>
);

export const SoundPanel = (): JSX.Element => (
  <details>
    <summary>Sound{take.value.sound ? `: ${take.value.sound.file}` : ''}</summary>
    <div class="row">
      <label>
        sound file{' '}
        <input
          type="file"
          accept=".wav,.mp3,.ogg,.oga,.opus,.m4a,.flac"
          onChange={(event) => {
            const file = event.currentTarget.files?.[0];
            if (file) void useFile(file);
          }}
        />
      </label>
      {take.value.sound && (
        <label>
          starts at, s{' '}
          <input
            type="number"
            step="0.02"
            value={take.value.sound.at_s}
            onChange={(event) => {
              const { sound } = take.value;
              if (sound)
                change(
                  { kind: 'sound', sound: { ...sound, at_s: Number(event.currentTarget.value) } },
                  'shift the sound',
                );
            }}
          />
        </label>
      )}
    </div>
    <Jaw />
    <Lead />
  </details>
);
