/**
 * Edits that nobody has made, judged and forgotten while nothing else is to be done: what judging an edit runs is then compiled when the
 * first real one comes. Touches nothing of the verdicts that are kept.
 */
import type { Rig } from '../../../rig/rig.ts';
import { framesOf } from '../../take/detail.ts';
import { edited } from '../../take/edit.ts';
import { FRAME_HZ, type Take } from '../../take/take.ts';
import { Verdicts } from './verdicts.ts';

/** So much of the take is enough, s, and so many edits of it, each of so many frames and so large, mm or deg (ours). */
const [SECONDS, EDITS, FRAMES, SIZE] = [15, 12, 2 * FRAME_HZ, 3];

/** @param pause as Judge has it. False: given up. */
export async function warmUp(
  rig: Rig,
  wasm: Uint8Array<ArrayBuffer>,
  take: Take,
  pause: () => Promise<boolean>,
): Promise<boolean> {
  const verdicts = new Verdicts(rig, wasm);
  let now = take.seconds > SECONDS ? edited(take, { kind: 'trim', from_s: 0, to_s: SECONDS }) : take;
  for (let k = 0; k <= EDITS; k++) {
    if (!(await pause()) || (await verdicts.of(now, pause)) === null) return false;
    now = bumped(now, k);
  }
  return true;
}

/** The take with a bump on one column after the other, from place to place. */
function bumped(take: Take, k: number): Take {
  const curve = take.curves[k % take.curves.length];
  if (!curve) return take;
  const frames = framesOf(take, curve);
  const first = Math.max(0, Math.floor(((k % 4) / 4) * (frames.length - FRAMES)));
  const bump = frames
    .slice(first, first + FRAMES + 1)
    .map((value, n) => value + SIZE * Math.sin((Math.PI * n) / FRAMES) ** 2);
  return edited(take, { kind: 'layer', from_s: first / FRAME_HZ, samples: new Map([[curve.column, bump]]) });
}
