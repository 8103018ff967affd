/** A show out of its data, as the board has it to the last bit (assembly/night/decode.ts). Any bytes give frames and an end. */
import { BitReader } from './bits.ts';
import type { Frames } from './encode.ts';
import { BLOCK, SEGMENT, mostSteps } from './layout.ts';

const STILL = 15;

export interface Decoded extends Frames {
  /** By segment, by joint: what is stored. */
  readonly heats: readonly Uint8Array[];
  /** The data ended before its frames did: it is not what was packed. */
  readonly spoilt: boolean;
}

/** @param joints how many the rig has, legs included */
export function decodeShow(
  data: Uint8Array,
  show: { readonly places: readonly number[]; readonly frames: number; readonly joints: number },
): Decoded {
  const { places, frames, joints } = show;
  const n = places.length;
  const bits = new BitReader(data);
  const [value, step, k] = [new Int32Array(n), new Int32Array(n), new Int32Array(n)];
  const rows: number[] = [];
  const heats: Uint8Array[] = [];
  for (let frame = 0; frame < frames; frame++) {
    const inSegment = frame % SEGMENT;
    if (inSegment === 0) {
      bits.toByte();
      for (let i = 0; i < n; i++) [value[i], step[i]] = [bits.takeSigned(24), bits.takeSigned(16)];
      heats.push(Uint8Array.from({ length: joints }, () => bits.take(8)));
    }
    if (inSegment === 2 || (inSegment > 2 && inSegment % BLOCK === 0)) for (let i = 0; i < n; i++) k[i] = bits.take(4);
    for (let i = 0; i < n; i++) {
      if (inSegment > 1 && k[i] !== STILL) step[i]! += bits.takeRice(k[i]!);
      if (inSegment > 0) value[i]! += step[i]!;
      const most = mostSteps(places[i]!);
      value[i] = Math.min(most, Math.max(-most, value[i]!));
    }
    if (bits.taken > data.length) return { places, steps: Int32Array.from(rows), count: frame, heats, spoilt: true };
    rows.push(...value);
  }
  return { places, steps: Int32Array.from(rows), count: frames, heats, spoilt: false };
}
