/**
 * A stream as the controller's ticks see it: differences of what is asked from tick to tick, against the limits of speed, plus
 * and minus. The controller measures itself the same way.
 */
import type { StoredStream } from '../stream/stored.ts';
import type { RigMotion } from './motion.ts';

/** What bounds the pace somewhere. */
export type Bound = 'speed' | 'plus' | 'minus' | 'torque';

/** A tick that asks for too much: with the pace squared times `share`, 0 to 1, it would not. */
export interface Excess {
  readonly t_s: number;
  readonly share: number;
  readonly axis: number;
  readonly bound: Bound;
}

/** Largest figures seen, by axis, and when; rates as shares of nothing: rad or mm, per s and per s². */
export class Peaks {
  readonly speed: Float64Array;
  readonly plus: Float64Array;
  readonly minus: Float64Array;

  constructor(axes: number) {
    this.speed = new Float64Array(axes);
    this.plus = new Float64Array(axes);
    this.minus = new Float64Array(axes);
  }
}

/** Where the walk reports: excesses as they come, and each tick's worst share of a limit (1: at it). */
export interface TickSink {
  excess?(found: Excess): void;
  tick?(t_s: number, worst: number): void;
}

/** Rounding, and what nobody sees: so much above a limit is not above it. */
export const ALLOWED = 1.0005;

/** Walks along streams, tick by tick. */
export class TickWalk {
  readonly dt_s: number;
  private readonly motion: RigMotion;
  private readonly phases: number;
  /** Rows of the last two ticks, phase by phase. */
  private readonly ring: readonly Float64Array[];

  /** @param phases how finely ticks are tried that come at another moment: so many times a tick. */
  constructor(motion: RigMotion, phases: number) {
    this.motion = motion;
    this.phases = phases;
    this.dt_s = 1 / motion.rig.motion.tick_hz;
    this.ring = Array.from({ length: 2 * phases + 1 }, () => new Float64Array(motion.axes.length));
  }

  /** Ticks at from_s, a phase later and so on, up to to_s. Ticks out of reach count for nothing. */
  walk(stream: StoredStream, from_s: number, to_s: number, peaks: Peaks | null, sink: TickSink): void {
    const { motion, dt_s, phases, ring } = this;
    let known = 0;
    const looks = Math.ceil(((to_s - from_s) / dt_s) * phases - 1e-9);
    for (let k = -phases, slot = 0; k <= looks + phases; k++, slot = (slot + 1) % ring.length) {
      known = motion.at(stream, from_s + (k * dt_s) / phases, ring[slot]!) ? known + 1 : 0;
      if (known >= ring.length) this.look(slot, from_s + ((k - phases) * dt_s) / phases, peaks, sink);
    }
  }

  private look(slot: number, t_s: number, peaks: Peaks | null, sink: TickSink): void {
    const { ring, phases } = this;
    const after = ring[slot]!;
    const here = ring[(slot + phases + 1) % ring.length]!;
    const before = ring[(slot + 1) % ring.length]!;
    const { axes } = this.motion;
    let worst = 0;
    let share = 1;
    let at = -1;
    let bound: Bound = 'speed';
    for (let k = 0; k < axes.length; k++) {
      const rise = after[k]! - here[k]!;
      const speed = Math.abs(rise) / this.dt_s;
      const accel = (rise - (here[k]! - before[k]!)) / (this.dt_s * this.dt_s);
      if (peaks) keep(peaks, k, speed, accel);
      const axis = axes[k]!;
      const fast = speed / axis.speed;
      const hard = accel > 0 ? accel / axis.plus : -accel / axis.minus;
      if (fast > worst) worst = fast;
      if (hard > worst) worst = hard;
      if (fast > ALLOWED && share > 1 / (fast * fast)) {
        share = 1 / (fast * fast);
        at = k;
        bound = 'speed';
      }
      if (hard > ALLOWED && share > 1 / hard) {
        share = 1 / hard;
        at = k;
        bound = accel > 0 ? 'plus' : 'minus';
      }
    }
    sink.tick?.(t_s, worst);
    if (at >= 0) sink.excess?.({ t_s, share, axis: at, bound });
  }
}

function keep(peaks: Peaks, k: number, speed: number, accel: number): void {
  if (speed > peaks.speed[k]!) peaks.speed[k] = speed;
  if (accel > peaks.plus[k]!) peaks.plus[k] = accel;
  if (-accel > peaks.minus[k]!) peaks.minus[k] = -accel;
}
