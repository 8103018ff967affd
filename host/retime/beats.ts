/**
 * Beats that stay on their times: between two of them the pace may rise above the stream's own, evenly and no more than it
 * takes to make good what the slow places lose.
 */
import type { Marks } from './pace.ts';

/** The pace rises no further than to so many times the stream's own. */
const MOST_RATE = 10;
/** Nearer than this to its time a beat is on it, s. */
const ON_TIME_S = 2e-5;
/** One step changes a rate by no more than this factor, in logarithms. */
const LARGEST_STEP = 0.5;
/** A part that plays at its ceiling for less than this share cannot be hurried. */
const LEAST_AT_CEILING = 1e-3;

/** A stretch as it plays: by point, stream time, pace (ds/dt)², and time since the stretch began. */
export interface Playing {
  readonly s: Float64Array;
  readonly x: Float64Array;
  readonly at_s: Float64Array;
}

/** When a stream time between two points plays; u is constant between points. */
export function arrival(playing: Playing, s: number): number {
  const { s: points, x, at_s } = playing;
  let lo = 0;
  let hi = points.length - 1;
  while (hi - lo > 1) {
    const middle = (lo + hi) >> 1;
    if (points[middle]! <= s) lo = middle;
    else hi = middle;
  }
  const since = s - points[lo]!;
  if (since <= 0) return at_s[lo]!;
  const pace = x[lo]! + ((x[hi]! - x[lo]!) * since) / (points[hi]! - points[lo]!);
  return at_s[lo]! + (2 * since) / (Math.sqrt(x[lo]!) + Math.sqrt(pace));
}

export class Beats {
  /** Stream times from the start of the stretch on: it, then every beat. */
  private readonly kept_s: readonly number[];
  /** By part between two beats: the rate it may rise to. */
  private readonly rates: number[];

  constructor(start_s: number, kept_s: readonly number[]) {
    this.kept_s = [start_s, ...kept_s];
    this.rates = kept_s.map(() => 1);
  }

  /** Writes the largest pace of every point; marks those where it changed. */
  ceilings(s: Float64Array, out: Float64Array, changed: Marks): void {
    for (let i = 0, part = 0; i < s.length; i++) {
      while (part < this.rates.length && s[i]! >= this.kept_s[part + 1]!) part++;
      const rate = this.rates[part] ?? 1;
      if (out[i] === rate * rate) continue;
      out[i] = rate * rate;
      changed.add(i);
    }
  }

  /** How late each beat is, s. */
  late(playing: Playing): number[] {
    return this.kept_s.slice(1).map((s) => arrival(playing, s) - (s - this.kept_s[0]!));
  }

  /** Changes the rates toward beats on their times. False: they are, or what is late cannot be helped. */
  adjust(playing: Playing, ceiling: Float64Array): boolean {
    const { kept_s, rates } = this;
    const arrivals = kept_s.map((s) => arrival(playing, s));
    const held = this.heldAtCeiling(playing, ceiling);
    let begins_s = 0;
    let isBetter = false;
    for (let part = 0; part < rates.length; part++) {
      const wanted_s = kept_s[part + 1]! - kept_s[0]! - begins_s;
      const takes_s = arrivals[part + 1]! - arrivals[part]!;
      const isStuck = held[part]! < LEAST_AT_CEILING * takes_s || (rates[part] === MOST_RATE && takes_s > wanted_s);
      begins_s = isStuck && takes_s > wanted_s ? begins_s + takes_s : begins_s + wanted_s;
      if (isStuck || Math.abs(takes_s - wanted_s) < ON_TIME_S) continue;
      // A rate of 1 + e saves e of the time at the ceiling.
      const step = Math.max(-LARGEST_STEP, Math.min(LARGEST_STEP, (takes_s - wanted_s) / held[part]!));
      const rate = Math.min(MOST_RATE, Math.max(1, rates[part]! * Math.exp(step)));
      isBetter ||= rate !== rates[part];
      rates[part] = rate;
    }
    return isBetter;
  }

  /** By part: for how long it plays at its ceiling, s. */
  private heldAtCeiling({ s, x, at_s }: Playing, ceiling: Float64Array): number[] {
    const held = this.rates.map(() => 0);
    for (let i = 0, part = 0; i + 1 < s.length; i++) {
      while (part < held.length && s[i]! >= this.kept_s[part + 1]!) part++;
      if (part < held.length && x[i]! >= ceiling[i]! * (1 - 1e-9)) held[part]! += at_s[i + 1]! - at_s[i]!;
    }
    return held;
  }
}
