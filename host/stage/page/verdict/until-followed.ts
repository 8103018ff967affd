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

const smallerWords = (round: number, k: number, gaps: readonly Gap[]): string =>
  `round ${String(round + 1)} of at most ${String(ROUNDS)}: stretch ${String(k + 1)} of ${String(gaps.length)}, from ${gaps[k]!.from_s.toFixed(1)} to ${gaps[k]!.to_s.toFixed(1)} s, is made smaller`;
const playedWords = (round: number): string =>
  round === 0
    ? 'retimed; the simulated prop plays it'
    : `round ${String(round)} of at most ${String(ROUNDS)}: the simulated prop plays it again`;

/** @param doing is told each step, in words, before it begins */
export async function untilFollowed(
  rig: Rig,
  wasm: Uint8Array<ArrayBuffer>,
  take: Take,
  doing: (words: string) => void,
): Promise<Fixed> {
  const verdicts = new Verdicts(rig, wasm);
  const gapsIn = async (of: Take): Promise<readonly Gap[] | string> => {
    const verdict = await verdicts.of(of, () => Promise.resolve(true));
    return verdict === null || typeof verdict === 'string' ? (verdict ?? 'it was stopped') : verdict.gaps;
  };
  doing('it is being retimed');
  const first = await fixed(rig, take, { kind: 'retime' });
  if ('refused' in first) return first;
  let last = first;
  for (let round = 0; ; round++) {
    doing(playedWords(round));
    const gaps = await gapsIn(last.take);
    if (typeof gaps === 'string') return { refused: gaps };
    if (gaps.length === 0 || round === ROUNDS) return { ...last, before: first.before, left: gaps.length };
    for (const [k, gap] of gaps.entries()) {
      doing(smallerWords(round, k, gaps));
      const next = await fixed(rig, last.take, smallerAt(gap, columnsOf(rig)));
      if ('refused' in next) return next;
      last = next;
    }
  }
}
