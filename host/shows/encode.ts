/**
 * A show's data: frames in whole steps of 0.02 mm or deg become segments of 10 s with their values anew, and in each blocks of half a
 * second with the second differences in Rice codes (R. F. Rice, Some Practical Universal Noiseless Coding Techniques, JPL 79-22, 1979;
 * the parameter by block and value). DEVELOPERS.md, "Nights", has the bits.
 */
import { BitWriter, riceBits, zigzag } from './bits.ts';
import { BLOCK, FRAME_HZ, SEGMENT, mostSteps } from './layout.ts';

/** A show before it is packed. */
export interface Frames {
  /** Places of its values in a frame, rising: pose 0 to 5, joint j of the rig 6 + j. */
  readonly places: readonly number[];
  /** Frame by frame, value by value, in steps; 50 frames a second. */
  readonly steps: Int32Array;
  readonly count: number;
}

/** A k that says: nothing but zeros. */
const STILL = 15;
/** Codes have 16 bits, first differences likewise. */
const MOST_CODE = 0xffff;
const MOST_STEP = 0x7fff;

/** A value that is further away, or moves faster, than a show can say: its place and when; null: there is none. */
export function unsayable({ places, steps, count }: Frames): { readonly place: number; readonly at_s: number } | null {
  const n = places.length;
  const at = (frame: number, i: number): number => steps[frame * n + i]!;
  for (let frame = 0; frame < count; frame++)
    for (let i = 0; i < n; i++) {
      const first = frame > 0 ? at(frame, i) - at(frame - 1, i) : 0;
      const second = frame > 1 ? first - (at(frame - 1, i) - at(frame - 2, i)) : 0;
      const far = Math.abs(at(frame, i)) > mostSteps(places[i]!);
      if (far || Math.abs(first) > MOST_STEP || zigzag(second) > MOST_CODE)
        return { place: places[i]!, at_s: frame / FRAME_HZ };
    }
  return null;
}

/** Segments of so many frames. */
export const segmentsIn = (count: number): number => Math.ceil(count / SEGMENT);

/**
 * @param frames none of them `unsayable`
 * @param heats by segment, by joint of the rig: 0 to 255
 */
export function encodeShow(frames: Frames, heats: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const out = new BitWriter();
  heats.slice(0, segmentsIn(frames.count)).forEach((heat, segment) => {
    const from = segment * SEGMENT;
    encodeSegment(out, frames, from, Math.min(frames.count, from + SEGMENT), heat);
  });
  return out.bytes();
}

function encodeSegment(out: BitWriter, frames: Frames, from: number, to: number, heat: Uint8Array): void {
  const { places, steps } = frames;
  const n = places.length;
  for (let i = 0; i < n; i++) {
    const first = steps[from * n + i]!;
    out.put(first, 24);
    out.put(from + 1 < to ? steps[(from + 1) * n + i]! - first : 0, 16);
  }
  for (const share of heat) out.put(share, 8);
  for (let block = from; block < to; block += BLOCK)
    encodeBlock(out, frames, Math.max(block, from + 2), Math.min(to, block + BLOCK));
  out.toByte();
}

/** The frames of a block that have a second difference within their segment. */
function encodeBlock(out: BitWriter, { places, steps }: Frames, from: number, to: number): void {
  if (from >= to) return;
  const n = places.length;
  const code = (frame: number, i: number): number =>
    zigzag(steps[frame * n + i]! - 2 * steps[(frame - 1) * n + i]! + steps[(frame - 2) * n + i]!);
  const ks = places.map((_, i) => cheapest(Array.from({ length: to - from }, (_, k) => code(from + k, i))));
  for (const k of ks) out.put(k, 4);
  for (let frame = from; frame < to; frame++)
    for (let i = 0; i < n; i++) if (ks[i] !== STILL) out.putRice(code(frame, i), ks[i]!);
}

/** The k with which codes take the fewest bits. */
function cheapest(codes: readonly number[]): number {
  if (codes.every((code) => code === 0)) return STILL;
  let [best, fewest] = [0, Infinity];
  for (let k = 0; k < STILL; k++) {
    const bits = codes.reduce((sum, code) => sum + riceBits(code, k), 0);
    if (bits < fewest) [best, fewest] = [k, bits];
  }
  return best;
}
