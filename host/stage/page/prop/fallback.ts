/** The prop as the reports draw it, from the side: for a browser without WebGL. */
import { propSide } from '../../../report/draw/prop.ts';
import { propSvg } from '../../../report/draw/scene.ts';
import type { Rig } from '../../../rig/rig.ts';
import { type Stance } from './scene.ts';

const FRAME = { width: 640, tallest: 460 };

const known = ({ coordinates }: Stance, rig: Rig): (number | null)[] =>
  rig.joints.map((_, i) => (Number.isFinite(coordinates[i]) ? coordinates[i]! : null));

/** SVG markup; null: nothing of the rig is placed in space. */
export function propFlat(rig: Rig, delivered: Stance, asked: Stance | null, stopped: string | null): string | null {
  const shown = asked ? propSide(rig, known(asked, rig), asked.pose) : [];
  const picture = propSvg(
    rig,
    {
      now: propSide(rig, known(delivered, rig), delivered.pose),
      was: shown.filter(({ role }) => role === 'plate' || role === 'part'),
      ring: stopped === null ? null : { words: stopped, at: null },
      said: 'The prop from the side',
      foot: 'looks this way \u2192',
    },
    FRAME,
  );
  return picture?.markup ?? null;
}
