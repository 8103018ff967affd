/** Every key, in sentences; shown when asked for. */
import type { JSX } from 'preact';
import { MidiButton } from '../input/inputs.tsx';
import { SENTENCES } from './keys.ts';
import { showsHelp } from './asking.ts';

export function Help(): JSX.Element | null {
  if (!showsHelp.value) return null;
  return (
    <div class="help" role="region" aria-label="keys" id="keys" tabIndex={0}>
      <dl>
        {SENTENCES.map(([key, does]) => (
          <div key={key}>
            <dt>{key}</dt>
            <dd>{does}</dd>
          </div>
        ))}
      </dl>
      <MidiButton />
    </div>
  );
}
