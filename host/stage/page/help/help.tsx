/** What each place is for, and every key of the place in view; shown when asked for. */
import type { JSX } from 'preact';
import { showsHelp } from '../hand/asking.ts';
import { MidiButton } from '../input/inputs.tsx';
import { PLACES, place } from '../state.ts';
import { EVERYWHERE, KEYS, PURPOSES } from './sentences.ts';

export function Help(): JSX.Element | null {
  if (!showsHelp.value) return null;
  return (
    <div class="help" role="region" aria-label="help" tabIndex={0}>
      <dl>
        {[...PLACES.map((name) => [name, PURPOSES[name]] as const), ...EVERYWHERE, ...KEYS[place.value]].map(
          ([key, does]) => (
            <div key={key}>
              <dt>{key}</dt>
              <dd>{does}</dd>
            </div>
          ),
        )}
      </dl>
      {place.value === 'Hand' && <MidiButton />}
    </div>
  );
}
