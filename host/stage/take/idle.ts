/**
 * Idle life: blinks, breath and small shifts of the gaze, as samples to lay over a take. Seeded: the same seed gives the same life.
 *
 * Sources. Blinks: 17 a minute at rest, 26 in conversation, 4.5 while reading (A. R. Bentivoglio and others, Movement Disorders
 * 12(6), 1997, 1028-1034; its abstract was read); as a Poisson process with a shortest pause. Lid: closing is 40 to 47 % faster than
 * opening (C. Sforza and others, Ophthalmic Physiol Opt 28(4), 2008, 345-353; abstract read); 90 ms down and 190 ms up are near
 * what F. VanderWerf and others measured (J Neurophysiol 89, 2003, 2784; figures from memory). Breath: 12 to 20 a minute in an
 * adult at rest (common knowledge of medicine), in for two fifths of it. Gaze: fixations of 0.2 s to some seconds (from memory).
 */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator';
import { mixed } from './edit.ts';
import { FRAME_HZ } from './take.ts';

export interface Idle {
  readonly seed: number;
  readonly blinks_per_min: number;
  /** How much longer than a person's a blink lasts: 1 is as long; a servo's lid may need 2 or 3. */
  readonly blink_times: number;
  readonly breaths_per_min: number;
  /** How far a breath lifts and lowers, either way, mm or deg. */
  readonly breath_size: number;
  readonly gazes_per_min: number;
  /** How far a glance goes at most, deg. */
  readonly gaze_deg: number;
}

export const USUAL_IDLE: Idle = {
  seed: 1,
  blinks_per_min: 17,
  blink_times: 1,
  breaths_per_min: 14,
  breath_size: 1,
  gazes_per_min: 20,
  gaze_deg: 3,
};

export const CLOSING_S = 0.09;
export const OPENING_S = 0.19;
/** No blink begins sooner than this after the one before. */
export const BLINK_PAUSE_S = 0.4;
/** Share of a breath that goes in. */
const IN_SHARE = 0.4;
/** A glance takes so long: slower than an eye, as heads are. */
const GLANCE_S = 0.3;

const framesOf = (seconds: number): number => Math.round(seconds * FRAME_HZ) + 1;

/** A small seed fills little of the state: what comes first is far from even, and let go. */
function generatorOf(seed: number): RandomGenerator {
  const random = xoroshiro128plus(seed);
  for (let n = 0; n < 32; n++) random.next();
  return random;
}

/** Instants of a Poisson process with a shortest pause, s; on average so many a minute. */
export function instants(seed: number, per_min: number, pause_s: number, seconds: number): number[] {
  const random = generatorOf(seed);
  if (!(per_min > 0)) return [];
  const mean_s = Math.max(0.05, 60 / per_min - pause_s);
  const wait_s = (): number => -Math.log(1 - uniformFloat64(random)) * mean_s;
  const all: number[] = [];
  for (let t_s = wait_s(); t_s < seconds; t_s += pause_s + wait_s()) all.push(t_s);
  return all;
}

/** How far the lid is down at every frame: 0 open, 1 closed. */
export function blinks(idle: Idle, seconds: number): Float64Array {
  const down = new Float64Array(framesOf(seconds));
  // Whole frames: the lid is seen shut in one of them.
  const closing = Math.max(1, Math.ceil(CLOSING_S * idle.blink_times * FRAME_HZ));
  const opening = Math.max(1, Math.ceil(OPENING_S * idle.blink_times * FRAME_HZ));
  for (const from_s of instants(idle.seed, idle.blinks_per_min, BLINK_PAUSE_S * idle.blink_times, seconds)) {
    const first = Math.round(from_s * FRAME_HZ);
    for (let n = 0; n <= closing + opening && first + n < down.length; n++) {
      const now = n <= closing ? mixed(0, 1, n / closing) : mixed(1, 0, (n - closing) / opening);
      down[first + n] = Math.max(down[first + n]!, now);
    }
  }
  return down;
}

/** The breath at every frame: -1 out, 1 in. */
export function breath(idle: Idle, seconds: number): Float64Array {
  const random = generatorOf(idle.seed + 1);
  const out = new Float64Array(framesOf(seconds)).fill(-1);
  if (!(idle.breaths_per_min > 0)) return out;
  let from = 0;
  while (from < out.length) {
    // No two breaths are as long: a tenth either way.
    const long = Math.max(2, (60 / idle.breaths_per_min) * FRAME_HZ * (0.9 + 0.2 * uniformFloat64(random)));
    for (let n = Math.ceil(from); n < Math.min(out.length, from + long); n++) {
      const share = (n - from) / long;
      out[n] = share < IN_SHARE ? mixed(-1, 1, share / IN_SHARE) : mixed(1, -1, (share - IN_SHARE) / (1 - IN_SHARE));
    }
    from += long;
  }
  return out;
}

/** Small glances to either side and back towards the middle, deg; another `axis` another way. */
export function glances(idle: Idle, seconds: number, axis: number): Float64Array {
  const random = generatorOf(idle.seed + 100 * (axis + 1));
  const out = new Float64Array(framesOf(seconds));
  let at = 0;
  for (const from_s of [...instants(idle.seed + 2, idle.gazes_per_min, GLANCE_S, seconds), Infinity]) {
    const [was, first] = [at, Math.round(from_s * FRAME_HZ)];
    at = (2 * uniformFloat64(random) - 1) * idle.gaze_deg;
    for (let n = Math.max(0, first); n < out.length; n++) out[n] = mixed(was, at, (n - first) / FRAME_HZ / GLANCE_S);
  }
  return out;
}

/** One column's part in the idle life. */
export type IdlePart =
  | { readonly column: string; readonly part: 'blink'; readonly shut: number }
  | { readonly column: string; readonly part: 'breath' }
  | { readonly column: string; readonly part: 'gaze'; readonly axis: number };

/**
 * Samples to lay over what the columns do.
 * @param base by column, what is there at every frame
 */
export function idleLayer(
  idle: Idle,
  parts: readonly IdlePart[],
  base: ReadonlyMap<string, Float64Array>,
  seconds: number,
): Map<string, Float64Array> {
  const layer = new Map<string, Float64Array>();
  for (const part of parts) {
    const under = layer.get(part.column) ?? base.get(part.column) ?? new Float64Array(framesOf(seconds));
    layer.set(part.column, laid(idle, part, under, seconds));
  }
  return layer;
}

function laid(idle: Idle, part: IdlePart, under: Float64Array, seconds: number): Float64Array {
  if (part.part === 'blink') {
    const down = blinks(idle, seconds);
    return under.map((value, n) => value + down[n]! * (part.shut - value));
  }
  const over = part.part === 'breath' ? breath(idle, seconds) : glances(idle, seconds, part.axis);
  const size = part.part === 'breath' ? idle.breath_size : 1;
  return under.map((value, n) => value + size * over[n]!);
}
