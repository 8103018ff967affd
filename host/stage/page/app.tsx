/** The page's frame: the place in view, help over it, and the foot. */
import type { JSX } from 'preact';
import { useEffect } from 'preact/hooks';
import { Effort } from './effort/effort.tsx';
import { Hand } from './hand/hand.tsx';
import { Foot } from './foot.tsx';
import { showsHelp } from './hand/asking.ts';
import { Help } from './help/help.tsx';
import { type Place, place, rig } from './state.ts';
import { settleAll } from './takes/commands.ts';
import { Takes, startTakes } from './takes/takes.tsx';
import { Workshop } from './workshop/workshop.tsx';

const VIEWS: Readonly<Record<Place, () => JSX.Element>> = { Hand, Takes, Effort, Workshop };

/** In every place: Escape whatever has the focus, the question mark where it is not written. */
const pressed = (event: KeyboardEvent): void => {
  if (event.key === 'Escape') settleAll();
  const isWriting = event.target instanceof HTMLElement && event.target.matches('input, select, textarea');
  if (event.key === '?' && !isWriting) showsHelp.value = !showsHelp.value;
};

export function App(): JSX.Element {
  useEffect(() => {
    startTakes();
    addEventListener('keydown', pressed, { capture: true });
    return () => removeEventListener('keydown', pressed, { capture: true });
  }, []);
  const View = VIEWS[place.value];
  return (
    <>
      <div class="place">
        <main>
          <h1 class="unseen">{rig.value?.name}</h1>
          <View />
        </main>
        <Help />
      </div>
      <Foot />
    </>
  );
}
