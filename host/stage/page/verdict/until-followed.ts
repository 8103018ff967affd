/**
 * A take made so that the metal follows it: retimed once, which leaves each servo torque enough for what is asked, then made smaller
 * stretch by stretch where the metal, a little late, still runs short of it when it catches up.
 */
import type { Rig } from '../../../rig/rig.ts';
import { columnsOf } from '../../take/lanes.ts';
import type { Take } from '../../take/take.ts';
import { smallerAt } from './columns.ts';
import { type Fixed, fixed } from './fixes.ts';
import type { Gap } from './gaps.ts';
import { Verdicts } from './verdicts.ts';

/** Each makes what is left a fifth smaller: after so many it is a quarter of its size (ours). */
const ROUNDS = 6;

export async function untilFollowed(rig: Rig, wasm: Uint8Array<ArrayBuffer>, take: Take): Promise<Fixed> {
  const verdicts = new Verdicts(rig, wasm);
  const gapsIn = async (of: Take): Promise<readonly Gap[] | string> => {
    const verdict = await verdicts.of(of, () => Promise.resolve(true));
    return verdict === null || typeof verdict === 'string' ? (verdict ?? 'it was stopped') : verdict.gaps;
  };
  const first = await fixed(rig, take, { kind: 'retime' });
  if ('refused' in first) return first;
  let last = first;
  for (let round = 0; ; round++) {
    const gaps = await gapsIn(last.take);
    if (typeof gaps === 'string') return { refused: gaps };
    if (gaps.length === 0 || round === ROUNDS) return { ...last, before: first.before, left: gaps.length };
    for (const gap of gaps) {
      const next = await fixed(rig, last.take, smallerAt(gap, columnsOf(rig)));
      if ('refused' in next) return next;
      last = next;
    }
  }
}
