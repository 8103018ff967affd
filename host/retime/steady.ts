/**
 * A pace that adds no speed peak: where what carries something speeds up in the stream it may not slow down in the new one, and
 * the other way round. With w = |dq/ds| the new speed is w·√x, and its change w'·x + w·u (pace.ts); so for g = |w'|/w, per s:
 * −u − g·x ≤ 0 where w rises, u − g·x ≤ 0 where it falls. Linear in x and u, and standing still is allowed.
 *
 * Rising and falling are what peaks are counted by (stream/speed-peaks.ts): a dip within a rise that is no valley stays one, as
 * long as the pace does not fall in it. So w is the largest so far in a rise, and the largest yet to come in a fall.
 */
import type { StoredStream } from '../stream/stored.ts';
import { PEAK_PROMINENCE } from '../stream/speed-peaks.ts';
import type { Rows } from './pace.ts';

/** Speeds are looked at so often, as means over so much time, and compared at so much before and after; s. */
const LOOK_S = 0.005;
const MEAN_S = 0.02;
const AROUND_LOOKS = 5;
/** Between two frames the pace keeps half of itself at least: at 0 it would stay there, where no column lets it rise. */
const LARGEST_CHANGE = 0.25;

/** How fast the rate of playing may change along a stream, look by look. */
export class Steadiness {
  /** So much more may it change than the columns' own changes allow, per s and share; 0: no peak is added. */
  ease = 0;
  private readonly start_s: number;
  /** Of any change, per s. */
  private readonly most: number;
  /** By look: how fast the rate may fall where a column rises, and rise where one falls; Infinity: nothing bounds it. */
  private readonly fall: Float64Array;
  private readonly rise: Float64Array;

  /**
   * @param columns places in a row of values that are to get no new peaks; those that never move bound nothing.
   * @param frame_s about how far apart points of the pace are.
   */
  constructor(stream: StoredStream, columns: readonly number[], frame_s: number) {
    this.most = LARGEST_CHANGE / frame_s;
    this.start_s = stream.time(0);
    const looks = Math.ceil((stream.time(stream.count - 1) - this.start_s) / LOOK_S) + 1;
    this.fall = new Float64Array(looks).fill(Infinity);
    this.rise = new Float64Array(looks).fill(Infinity);
    const speeds = columns.map(() => new Float64Array(looks));
    const [before, after] = [new Float64Array(stream.size), new Float64Array(stream.size)];
    for (let i = 0; i < looks; i++) {
      stream.evaluate(this.start_s + i * LOOK_S - MEAN_S / 2, before);
      stream.evaluate(this.start_s + i * LOOK_S + MEAN_S / 2, after);
      columns.forEach((k, c) => (speeds[c]![i] = Math.abs(after[k]! - before[k]!) / MEAN_S));
    }
    for (const w of speeds) this.bound(w);
  }

  /** Adds the limits at a time of the stream. */
  rows(s: number, out: Rows): void {
    const { fall, rise, ease, most } = this;
    const at = Math.max(0, Math.min(fall.length - 1, Math.round((s - this.start_s) / LOOK_S)));
    out.add(-1, -Math.min(most, fall[at]! + ease), 0);
    out.add(1, -Math.min(most, rise[at]! + ease), 0);
  }

  private bound(w: Float64Array): void {
    const prominence = PEAK_PROMINENCE * w.reduce((most, speed) => Math.max(most, speed), 0);
    if (!(prominence > 0)) return;
    for (const { from, to, isRise } of trendsOf(w, prominence)) {
      const first = isRise ? from : to;
      const step = isRise ? 1 : -1;
      for (let i = first + step; i !== (isRise ? to : from) + step; i += step) w[i] = Math.max(w[i]!, w[i - step]!);
      const bound = isRise ? this.fall : this.rise;
      for (let i = from; i <= to; i++) {
        // What is so slow adds no peak.
        if (w[i]! < prominence) continue;
        const begin = Math.max(from, i - AROUND_LOOKS);
        const end = Math.min(to, i + AROUND_LOOKS);
        const g = Math.abs(Math.log(w[end]! / w[begin]!)) / (LOOK_S * Math.max(1, end - begin));
        if (!(g >= bound[i]!)) bound[i] = g;
      }
    }
  }
}

/** From one look to another a speed rises, or falls, but for dips and bumps of less than the prominence. */
interface Trend {
  readonly from: number;
  readonly to: number;
  readonly isRise: boolean;
}

function trendsOf(w: Float64Array, prominence: number): Trend[] {
  const trends: Trend[] = [];
  let isRise = false;
  let [begin, turn] = [0, 0];
  for (let i = 0; i < w.length; i++) {
    const further = isRise ? w[i]! - w[turn]! : w[turn]! - w[i]!;
    if (further >= 0) turn = i;
    if (-further <= prominence) continue;
    if (turn > begin) trends.push({ from: begin, to: turn, isRise });
    isRise = !isRise;
    begin = turn;
    turn = i;
  }
  if (w.length - 1 > begin) trends.push({ from: begin, to: w.length - 1, isRise });
  return trends;
}
