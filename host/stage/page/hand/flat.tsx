/** The prop from the side, as the reports draw it, where the browser has no WebGL. */
import type { JSX } from 'preact';
import { causeWords } from '../../../replay/verdict.ts';
import { propFlat } from '../prop/fallback.ts';
import { handValues, look, rig } from '../state.ts';
import { askedOf, deliveredOf } from './stage.ts';

export function Flat(): JSX.Element | null {
  const seen = look.value;
  if (!seen || !rig.value) return null;
  const stop = seen.stoppedBy && `${seen.stoppedBy.joint}: ${causeWords(seen.stoppedBy.cause)}`;
  const picture = propFlat(rig.value, deliveredOf(seen), askedOf(rig.value, seen, handValues.value), stop);
  if (picture === null) return <p>Nothing of this rig has a place in space.</p>;
  return <div class="scene" dangerouslySetInnerHTML={{ __html: picture }} />;
}
