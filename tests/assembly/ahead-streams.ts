/**
 * What the tests of the look-ahead play: rigs of random joints, each with a twin that has no limits to speak of and so shows what
 * is asked, and streams that ask for too much. And how far past it a joint goes.
 */
import { toDeg, toRad } from '../../host/rig/rig.ts';
import type { Joint, Rig } from '../../host/rig/rig.ts';
import { ticksToStop } from '../../host/rig/look-ahead.ts';
import { Prop } from './prop.ts';
import { rigOf } from './rigs.ts';

/** A random number from 0 to 1. */
export type Chance = () => number;

const RANGE_DEG = 170;
/** Asked within so long before or after, or the braking time where longer, a place counts as asked. */
const ABOUT_S = 0.8;
/** What is left for frames to come in, ms. */
const SPARE_MS = 60;
const FREE = { speed: 1e4, plus: 1e7, minus: 1e7, plus_gone: Infinity, minus_gone: Infinity };

/** Joints in pairs: the first of a pair has the limits, the second none. Deg, per second. */
export interface Limits {
  readonly speed: number;
  readonly plus: number;
  readonly minus: number;
  readonly plus_gone?: number;
  readonly minus_gone?: number;
}

/** A rig of joints with these limits and a twin of each; look-ahead in ticks. */
export function pairsOf(hz: number, limits: readonly Limits[], ticks: number): Rig {
  const base = rigOf({ platform: null, hz });
  const [model] = base.joints;
  const pair = ({ speed, plus, minus, plus_gone, minus_gone }: Limits, k: number): Joint[] => {
    const joint: Joint = {
      ...model!,
      name: `j${String(k)}`,
      pin: 2 + 2 * k,
      us_per_unit: 100,
      lo: toRad(-RANGE_DEG),
      hi: toRad(RANGE_DEG),
      rest: 0,
      speed: toRad(speed),
      plus: toRad(plus),
      minus: toRad(minus),
      plus_gone: toRad(plus_gone ?? Infinity),
      minus_gone: toRad(minus_gone ?? Infinity),
    };
    return [joint, { ...joint, ...FREE, name: `${joint.name}-asked`, pin: joint.pin + 1 }];
  };
  const look_ahead_ms = (ticks * 1000) / hz;
  return {
    ...base,
    joints: limits.flatMap(pair),
    motion: { ...base.motion, look_ahead_ms, playback_delay_ms: Math.ceil(look_ahead_ms) + SPARE_MS },
  };
}

/** Limits that a joint stops within so many ticks of; a third of them fade. */
export function wildLimits(chance: Chance, hz: number, most_ticks: number): Limits {
  const speed = 20 * 30 ** chance();
  const stop_s = (0.2 + 0.75 * chance()) * (most_ticks / hz);
  const slower = speed / stop_s;
  const other = slower * 4 ** chance();
  const [plus, minus] = chance() < 0.5 ? [slower, other] : [other, slower];
  const gone = (): number | undefined => (chance() < 0.33 ? speed * (0.6 + chance()) : undefined);
  const [plus_gone, minus_gone] = [gone(), gone()];
  return { speed, plus, minus, ...(plus_gone && { plus_gone }), ...(minus_gone && { minus_gone }) };
}

/** The next value (deg) every `frame_s` of a stream that a joint with these limits can't follow: of one of four kinds. */
export function wildStream(chance: Chance, { speed, plus }: Limits, frame_s: number): () => number {
  const kind = Math.floor(4 * chance());
  const size = Math.min(0.9 * RANGE_DEG, speed * 2 ** (4 * chance() - 3));
  const hold_s = 0.05 + 0.5 * chance();
  const hz = ((0.5 + 2 * chance()) * Math.sqrt(plus / size)) / 6.3;
  let at = 0;
  let from = 0;
  let to = 0;
  let share = 1;
  let t_s = 0;
  return () => {
    t_s += frame_s;
    // Jumps, looks that come to rest, keys without rest, sines too fast.
    if (kind === 0) return chance() < frame_s / hold_s ? (at = (2 * chance() - 1) * size) : at;
    if (kind === 3) return size * Math.sin(2 * Math.PI * hz * t_s) * Math.min(1, t_s);
    if (share >= 1 && (kind === 2 || chance() < frame_s / hold_s)) {
      from = to;
      to = (2 * chance() - 1) * size;
      share = 0;
    }
    share = Math.min(1, share + frame_s / hold_s);
    return from + (to - from) * share * share * (3 - 2 * share);
  };
}

/** Where every joint is at each tick, deg: of a pair the joint, then what it was asked. */
export interface Run {
  readonly rig: Rig;
  readonly places: readonly Float32Array[];
  readonly ticks: number;
}

/** Plays a value (deg) a pair and frame, of `next`, for so many ticks. `meanwhile` is called before each. */
export function playPairs(
  rig: Rig,
  frame_s: number,
  next: readonly (() => number)[],
  ticks: number,
  meanwhile: (prop: Prop, tick: number) => void = () => undefined,
): Run {
  const prop = new Prop(rig);
  prop.rouse();
  const places = rig.joints.map(() => new Float32Array(ticks));
  let n = -1;
  prop.watch = (t) => {
    if (n >= 0) places.forEach((column, i) => (column[n] = toDeg(t.position[i]!)));
  };
  const start_us = prop.now_us;
  let frames = 0;
  const row = new Float64Array(6 + rig.joints.length);
  const values = [...row];
  for (n = 0; n < ticks; n++) {
    // Frames come three ahead: what is known is never shorter than the look-ahead.
    while ((frames - 3) * frame_s * 1e6 <= prop.now_us - start_us) {
      frames++;
      next.forEach((value, k) => {
        values[6 + 2 * k] = values[7 + 2 * k] = frames < 4 ? 0 : toRad(value());
      });
      prop.pose(Math.round(start_us + frames * frame_s * 1e6) - prop.now_us, values);
    }
    meanwhile(prop, n);
    prop.run(1);
  }
  return { rig, places, ticks };
}

/** Least or greatest of the values from `since` of each, which never falls, to `about` after it: a queue of candidates, best first. */
function extremesAbout(values: Float32Array, since: Int32Array, about: number, sign: 1 | -1): Float32Array {
  const out = new Float32Array(values.length);
  const queue: number[] = [];
  let head = 0;
  let next = 0;
  for (let i = 0; i < values.length; i++) {
    for (; next < values.length && next <= i + about; next++) {
      while (queue.length > head && sign * values[queue.at(-1)!]! <= sign * values[next]!) queue.pop();
      queue.push(next);
    }
    while (queue[head]! < since[i]!) head++;
    out[i] = values[queue[head]!]!;
  }
  return out;
}

/** For each tick `about` before it was last on what is asked or went across it: until then a joint is late, not past. */
function sinceMet(places: Float32Array, asked: Float32Array, about: number): Int32Array {
  let met = 0;
  let side = 0;
  return Int32Array.from(places, (at, n) => {
    const now = Math.sign(at - asked[n]!);
    if (now !== side || now === 0) met = n;
    side = now;
    return met - about;
  });
}

/** What a pair's joint goes past at most: deg, and as a share of all that is asked about that time; the lesser trouble counts. */
export interface Past {
  readonly deg: number;
  /** The worst tick's excess over the greater of 0.05 deg and 0.5 % of the move: above 1 it is too much. */
  readonly excess: number;
}

export function pastOf({ rig, places, ticks }: Run, pair: number): Past {
  const joint = rig.joints[2 * pair]!;
  const hz = rig.motion.tick_hz;
  const about = Math.ceil(Math.max(ABOUT_S * hz, ticksToStop(joint, hz)));
  const asked = places[2 * pair + 1]!;
  const since = sinceMet(places[2 * pair]!, asked, about);
  const highest = extremesAbout(asked, since, about, 1);
  const lowest = extremesAbout(asked, since, about, -1);
  let deg = 0;
  let excess = 0;
  // At the end what will be asked is not known any more.
  for (let n = 0; n < ticks - about; n++) {
    const at = places[2 * pair]![n]!;
    const past = Math.max(at - highest[n]!, lowest[n]! - at, 0);
    deg = Math.max(deg, past);
    excess = Math.max(excess, past / Math.max(0.05, 0.005 * (highest[n]! - lowest[n]!)));
  }
  return { deg, excess };
}
