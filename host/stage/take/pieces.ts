/**
 * A piece of a curve put over what is there: outside of it, but for one frame at either edge, the curve stays as it was.
 */
import { keyBefore, refined, valueAt } from './curve.ts';
import { FRAME_HZ, type Key } from './take.ts';

/** Nearer than this two keys are one, s. */
export const SAME_S = 1e-4;
/** What is moved, copied or left alone may differ by this much from what it was, mm or deg: less than a servo's step. */
const KEPT_WITHIN = 0.02;

/** Keys over from_s to to_s (none: what is there goes), and what the curve should be between them where that is known. */
export interface Piece {
  readonly from_s: number;
  readonly to_s: number;
  readonly keys: readonly Key[];
  readonly want: ((t_s: number) => number) | null;
}

/**
 * The keys with a piece in the place of what was there.
 * @param seconds the take's length: past its end nothing is kept
 */
export function withPiece(keys: readonly Key[], piece: Piece, seconds: number): Key[] {
  const { from_s, to_s, want } = piece;
  const [left_s, right_s] = [frameTime(from_s, -1), frameTime(to_s, 1)];
  const before = keys.filter(({ t_s }) => t_s < left_s - SAME_S);
  const after = keys.filter(({ t_s }) => t_s > right_s + SAME_S);
  const edge = (t_s: number): Key[] =>
    keys.length > 0 && t_s >= 0 && t_s <= seconds + SAME_S ? [{ t_s, value: valueAt(keys, t_s) }] : [];
  const put = [...before, ...edge(left_s), ...piece.keys.filter(({ t_s }) => t_s >= 0), ...edge(right_s), ...after];
  if (put.length === 0) return put;
  const wanted = (t_s: number): number | null => {
    if (t_s <= left_s + SAME_S || t_s >= right_s - SAME_S) return keys.length > 0 ? valueAt(keys, t_s) : null;
    return want && t_s >= from_s - SAME_S && t_s <= to_s + SAME_S ? want(t_s) : null;
  };
  // The whole of it: a key is felt by the slopes at its neighbours, and a key put there by theirs.
  const last_s = Math.max(put.at(-1)!.t_s, keys.at(-1)?.t_s ?? 0);
  return refined(put, wanted, 0, last_s, KEPT_WITHIN);
}

/** A frame on, to the microsecond. */
const frameTime = (t_s: number, frames: number): number => Math.round((t_s + frames / FRAME_HZ) * 1e6) / 1e6;

/** The keys of a stretch where they stand, with one at each end. */
export function keysWithin(keys: readonly Key[], from_s: number, to_s: number): Key[] {
  const inner = keys
    .slice(keyBefore(keys, from_s) + 1)
    .filter(({ t_s }) => t_s > from_s + SAME_S && t_s < to_s - SAME_S);
  return [{ t_s: from_s, value: valueAt(keys, from_s) }, ...inner, { t_s: to_s, value: valueAt(keys, to_s) }];
}
