/** A design as a rig file, judged by the library; its soft limits drawn in where its legs cannot hold all that they allow. */
import type { RigFiles } from '../rig/read.ts';
import type { Design } from './design.ts';
import { type Judged, type Refused, judge } from './judge.ts';
import { rigOf } from './rig-of.ts';
import { limitsThatHold } from './soft-limits.ts';
import type { Want } from './want/want.ts';

/** What the library agrees to. */
export interface Written {
  /** Its soft limits may be narrower than the search had them; else it is the very same. */
  readonly design: Design;
  readonly judged: Judged;
}

export function written(want: Want, design: Design, files: RigFiles): Written | Refused {
  const asFound = writtenAs(want, design, files);
  if (!('refused' in asFound) || !asFound.too_wide) return asFound;
  const limits = limitsThatHold(asFound.too_wide);
  if (!limits)
    return { refused: 'load: its legs hold everywhere only within soft limits too narrow for what was asked' };
  const drawnIn = writtenAs(want, { ...design, limits }, files);
  return 'refused' in drawnIn
    ? { refused: `with soft limits narrow enough for its legs to hold: ${drawnIn.refused}` }
    : drawnIn;
}

function writtenAs(want: Want, design: Design, files: RigFiles): Written | Refused {
  const text = rigOf(want, design, want.name);
  if (text === null) return { refused: 'the given rig’s text has no place for a figure: it is shared by an anchor' };
  const judged = judge(want, design, text, files);
  return 'refused' in judged ? judged : { design, judged };
}
