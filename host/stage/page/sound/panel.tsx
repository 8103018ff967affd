/** What is done with the sound: chosen, shifted, the jaw taken from it; lids and how late each joint is stand beside. */
import { signal } from '@preact/signals';
import type { JSX } from 'preact';
import { USUAL_JAW, jawColumn, loudness, openness } from '../../take/jaw.ts';
import { valueAt } from '../../take/curve.ts';
import { faded } from '../../take/record.ts';
import { FRAME_HZ, curveOf } from '../../take/take.ts';
import { change, lanes, said, take } from '../state.ts';
import { plain } from '../takes/view.ts';
import { endsOf, jointColumns, renewed } from './joints.ts';
import { Lead } from './lead.tsx';
import { Lids } from './lids.tsx';
import { useFile, voice } from './voice.ts';

const gain = signal(1);
const jaw = signal<string | null>(null);

const jawName = (): string | null => jaw.value ?? lanes.value.find(({ name }) => name === 'Mouth')?.columns[0] ?? null;

/** Renewed with every touch of the gain: one edit in the end. */
function takeJaw(): void {
  const [heard, name] = [voice.value, jawName()];
  if (!heard || name === null) {
    said.value = heard ? 'choose the joint that is the jaw' : 'there is no sound yet';
    return;
  }
  const shape = { ...USUAL_JAW, gain: gain.value };
  const open = openness(loudness(heard.audio, heard.buffer.sampleRate, shape), shape);
  const { home, far } = endsOf(name);
  const at_s = take.value.sound?.at_s ?? 0;
  const skipped = Math.max(0, Math.round(-at_s * 50));
  const from_s = Math.max(0, at_s);
  renewed(`take the ${plain(name)} from the sound`, () => {
    const under = curveOf(take.value, name)?.keys ?? [];
    const moved = faded(jawColumn(open.subarray(skipped), home, far), (n) => valueAt(under, from_s + n / FRAME_HZ));
    return { kind: 'layer', from_s, samples: new Map([[name, moved]]) };
  });
  said.value = `${name} follows the sound, gain ${gain.value.toFixed(1)}`;
}

const Jaw = (): JSX.Element => (
  <div class="row" role="group" aria-label="jaw from loudness">
    <label>
      jaw{' '}
      <select value={jawName() ?? ''} onChange={(event) => (jaw.value = event.currentTarget.value)}>
        {jointColumns().map((name) => (
          <option key={name} value={name}>
            {plain(name)}
          </option>
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
    <Lids />
    <Lead />
  </details>
);
