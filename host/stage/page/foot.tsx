/** The page's foot, in every place: what is so, the way to the other places, and what must always be in reach. */
import type { JSX } from 'preact';
import { rouse, showsHelp } from './hand/asking.ts';
import { PLACES, isRoused, place, said } from './state.ts';
import { playOrStop, settleAll } from './takes/commands.ts';
import { playing } from './takes/play.ts';

const Places = (): JSX.Element => (
  <nav aria-label="places" class="places">
    {PLACES.map((name) => (
      <button
        key={name}
        type="button"
        aria-current={place.value === name ? 'page' : undefined}
        onClick={() => {
          place.value = name;
          document.querySelector('main')?.scrollTo(0, 0);
        }}
      >
        {name}
      </button>
    ))}
  </nav>
);

const Play = (): JSX.Element => (
  <button type="button" class="main" aria-keyshortcuts="Space" onClick={playOrStop}>
    {playing.value === 'no' ? 'Play' : 'Stop'} <kbd>Space</kbd>
  </button>
);

/** Settle stands there whatever state the prop is in: it settles a board too. */
const Reach = (): JSX.Element => (
  <div role="group" aria-label="always in reach" class="reach">
    {place.value === 'Takes' && <Play />}
    {!isRoused.value && (
      <button type="button" aria-keyshortcuts="g" onClick={rouse}>
        Rouse <kbd>G</kbd>
      </button>
    )}
    <button type="button" aria-keyshortcuts="Escape" onClick={settleAll}>
      Settle <kbd>Esc</kbd>
    </button>
    <button
      type="button"
      aria-keyshortcuts="?"
      aria-expanded={showsHelp.value}
      onClick={() => (showsHelp.value = !showsHelp.value)}
    >
      Help <kbd>?</kbd>
    </button>
  </div>
);

export const Foot = (): JSX.Element => (
  <footer class="foot">
    <p role="status" class="status">
      {said.value}
    </p>
    <Places />
    <Reach />
  </footer>
);
