/** The place "Hand": the prop, large, to be taken hold of. */
import type { JSX } from 'preact';
import { Inputs } from '../input/inputs.tsx';
import { Controls } from './controls.tsx';
import { Room } from './room.tsx';
import { Senses } from './senses.tsx';

export const Hand = (): JSX.Element => (
  <section aria-label="Hand" class="hand">
    <Room keys />
    <Controls />
    <Senses />
    <Inputs />
  </section>
);
