/** A rig as far as a stream knows it, and bytes in awkward chunks. */
import type { StreamRig } from '../../../host/stream/columns.ts';

const legs = [1, 2, 3, 4, 5, 6].map((n) => ({ name: `leg${n}`, kind: 'leg' as const }));

/** An owl's: six legs, a tilting axis, an eyelid. */
export const owl: StreamRig = {
  platform: {},
  joints: [...legs, { name: 'nod', kind: 'axis' }, { name: 'lid', kind: 'axis' }],
};

/** Joints only. */
export const eyes: StreamRig = { platform: null, joints: [{ name: 'lid', kind: 'axis' }] };

export const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

/** The same bytes in chunks of `size`. */
export function* chunked(text: string, size: number): Generator<Uint8Array> {
  const all = bytes(text);
  for (let at = 0; at < all.length; at += size) yield all.subarray(at, at + size);
}
