/**
 * A jaw from loudness: the voice's band of a sound, its envelope with attack and release, and from that how far the jaw is open at
 * every frame; stresses for the lids. Pure: samples in, samples out.
 */
import { FRAME_HZ } from './take.ts';

export interface JawShape {
  /** The voice's band, Hz (common practice: fundamental to the second formant and above). */
  readonly low_hz: number;
  readonly high_hz: number;
  /** How soon the jaw follows a sound that grows, and one that fades, s. */
  readonly attack_s: number;
  readonly release_s: number;
  /** Share of the way open at the loudest; by ear. */
  readonly gain: number;
  /** Below this share of the loudest the jaw stays shut: a room's noise. */
  readonly floor: number;
}

export const USUAL_JAW: JawShape = {
  low_hz: 100,
  high_hz: 4000,
  attack_s: 0.03,
  release_s: 0.12,
  gain: 1,
  floor: 0.06,
};

/** The audio of one channel in the band, filtered by first-order high-pass and low-pass sections, twice each (12 dB an octave). */
export function banded(audio: Float32Array, rate_hz: number, low_hz: number, high_hz: number): Float32Array {
  const out = new Float32Array(audio.length);
  const low = pole(low_hz, rate_hz);
  const high = pole(Math.min(high_hz, 0.45 * rate_hz), rate_hz);
  let [slow1, slow2, fast1, fast2] = [0, 0, 0, 0];
  for (let n = 0; n < audio.length; n++) {
    slow1 += low * (audio[n]! - slow1);
    const once = audio[n]! - slow1;
    slow2 += low * (once - slow2);
    fast1 += high * (once - slow2 - fast1);
    fast2 += high * (fast1 - fast2);
    out[n] = fast2;
  }
  return out;
}

/** Share of the way that a first-order section goes to its input in a sample. */
const pole = (corner_hz: number, rate_hz: number): number => 1 - Math.exp((-2 * Math.PI * corner_hz) / rate_hz);

/** Loudness in the band at 50 frames a second: root mean square over the frame's own 20 ms, frame n in the middle of its window. */
export function loudness(audio: Float32Array, rate_hz: number, shape: JawShape): Float64Array {
  const band = banded(audio, rate_hz, shape.low_hz, shape.high_hz);
  const frames = Math.floor((audio.length / rate_hz) * FRAME_HZ) + 1;
  return Float64Array.from({ length: frames }, (_, n) => {
    const from = Math.max(0, Math.round(((n - 0.5) / FRAME_HZ) * rate_hz));
    const to = Math.min(band.length, Math.round(((n + 0.5) / FRAME_HZ) * rate_hz));
    let sum = 0;
    for (let i = from; i < to; i++) sum += band[i]! * band[i]!;
    return to > from ? Math.sqrt(sum / (to - from)) : 0;
  });
}

/** How far the jaw is open at every frame, 0 to 1. Silence gives 0. */
export function openness(loud: Float64Array, shape: JawShape): Float64Array {
  const most = loud.reduce((a, b) => Math.max(a, b), 0);
  if (!(most > 0)) return new Float64Array(loud.length);
  const share = (for_s: number): number => 1 - Math.exp(-1 / (FRAME_HZ * Math.max(1e-3, for_s)));
  const [attack, release] = [share(shape.attack_s), share(shape.release_s)];
  let now = 0;
  return loud.map((value) => {
    // The square root: a voice half as loud is seen as more than half as open (common practice).
    const over = Math.max(0, value / most - shape.floor) / (1 - shape.floor);
    const want = Math.min(1, shape.gain * Math.sqrt(over));
    now += (want > now ? attack : release) * (want - now);
    return now < 1e-4 ? 0 : now;
  });
}

/** The jaw's column: from shut to open, each within the joint's limits. */
export const jawColumn = (open: Float64Array, shut_deg: number, wide_deg: number): Float64Array =>
  open.map((share) => shut_deg + Math.max(0, Math.min(1, share)) * (wide_deg - shut_deg));

/**
 * Frames at which the voice is stressed: it is at its loudest within a quarter second either way, and loud at all.
 * @param least share of the loudest that counts; by ear
 */
export function stresses(loud: Float64Array, least = 0.6): number[] {
  const most = loud.reduce((a, b) => Math.max(a, b), 0);
  const reach = Math.round(FRAME_HZ / 4);
  return [...loud.keys()].filter((n) => {
    const value = loud[n]!;
    const before = loud.subarray(Math.max(0, n - reach), n);
    const after = loud.subarray(n + 1, n + 1 + reach);
    return value > least * most && before.every((other) => other < value) && after.every((other) => other <= value);
  });
}

/** A movement there and back at every stress, 0 to 1 to 0 along a raised cosine with the stress at its middle. @param for_s there and back */
export function stressMoves(loud: Float64Array, least: number, for_s: number): Float64Array {
  const half = Math.max(1, (for_s * FRAME_HZ) / 2);
  const moves = new Float64Array(loud.length);
  for (const at of stresses(loud, least))
    for (let n = Math.max(0, Math.ceil(at - half)); n <= Math.min(loud.length - 1, at + half); n++)
      moves[n] = Math.max(moves[n]!, 0.5 + 0.5 * Math.cos((Math.PI * (n - at)) / half));
  return moves;
}

/**
 * How late a joint is, from a film of it closing at a clap: the frame in which the clap is heard, the frame in which it is seen shut.
 * @returns ms, to the nearest, negative where it is early; null: no rate is given
 */
export function lateFromFilm(heard_frame: number, seen_frame: number, frames_per_s: number): number | null {
  return frames_per_s > 0 ? Math.round(((seen_frame - heard_frame) / frames_per_s) * 1000) : null;
}
