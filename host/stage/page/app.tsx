/** The page's frame: the place in view, the way to the others, the status line. */
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { Effort } from './effort/effort.tsx';
import { Hand } from './hand/hand.tsx';
import { PLACES, type Place, place, rig, said } from './state.ts';
import { settleAll } from './takes/commands.ts';
import { Takes, startTakes } from './takes/takes.tsx';
import { Workshop } from './workshop/workshop.tsx';

const VIEWS: Readonly<Record<Place, () => JSX.Element>> = { Hand, Takes, Effort, Workshop };

/** In every place, whatever has the focus. */
const settleByEscape = (event: KeyboardEvent): void => {
  if (event.key === 'Escape') settleAll();
};

export function App(): JSX.Element {
  useEffect(() => {
    startTakes();
    addEventListener('keydown', settleByEscape, { capture: true });
    return () => removeEventListener('keydown', settleByEscape, { capture: true });
  }, []);
  const View = VIEWS[place.value];
  return (
    <>
      <main>
        <h1 class="unseen">{rig.value?.name}</h1>
        <View />
      </main>
      <nav aria-label="places" class="places">
        {PLACES.map((name) => (
          <button
            key={name}
            type="button"
            aria-current={place.value === name ? 'page' : undefined}
            onClick={() => {
              place.value = name;
              scrollTo(0, 0);
            }}
          >
            {name}
          </button>
        ))}
      </nav>
      <p role="status" class="status">
        {said.value}
      </p>
    </>
  );
}
