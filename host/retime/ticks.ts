/**
 * A stream as the controller's ticks see it: differences of what is asked from tick to tick, against the limits of speed, plus
 * and minus. The controller measures itself the same way.
 */
import type { StoredStream } from '../stream/stored.ts';
import type { Loads } from './loads.ts';
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

/** Largest figures seen: by axis in rad or mm, per s and per s², and the use of each joint's servo; NaN: not known. */
export class Peaks {
  readonly speed: Float64Array;
  readonly plus: Float64Array;
  readonly minus: Float64Array;
  readonly use: Float64Array;

  constructor(axes: number, joints: number) {
    this.speed = new Float64Array(axes);
    this.plus = new Float64Array(axes);
    this.minus = new Float64Array(axes);
    this.use = new Float64Array(joints).fill(NaN);
  }
}

/** Where the walk reports: excesses as they come, and each tick's worst share of a limit (1: at it). */
export interface TickSink {
  excess(found: Excess): void;
  tick?(t_s: number, worst: number): void;
}

/** Rounding, and what nobody sees: so much above a limit is not above it. */
export const ALLOWED = 1.0005;

/** Walks along streams, tick by tick. */
export class TickWalk {
  readonly dt_s: number;
  private readonly motion: RigMotion;
  private readonly loads: Loads | null;
  private readonly phases: number;
  private readonly allowed: number;
  /** Rows of the last two ticks, phase by phase. */
  private readonly ring: readonly Float64Array[];

  /**
   * @param loads null: torque is not looked at.
   * @param phases how finely ticks are tried that come at another moment: so many times a tick.
   * @param allowed what is more than this share of a limit is too much.
   */
  constructor(motion: RigMotion, loads: Loads | null, phases: number, allowed: number) {
    this.allowed = allowed;
    this.motion = motion;
    this.loads = loads?.isKnown ? loads : null;
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
      if (known >= ring.length)
        this.look(slot, from_s + ((k - phases) * dt_s) / phases, k % phases === 0 ? this.loads : null, peaks, sink);
    }
  }

  /** @param loads null: a tick at which torque is not looked at, since it costs as much as all else ten times over. */
  private look(slot: number, t_s: number, loads: Loads | null, peaks: Peaks | null, sink: TickSink): void {
    const { ring, phases, allowed } = this;
    const after = ring[slot]!;
    const here = ring[(slot + phases + 1) % ring.length]!;
    const before = ring[(slot + 1) % ring.length]!;
    const { axes, poseAxes } = this.motion;
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
      // A limit that fades: accel ≤ plus·(1 - v/gone), the way that the tick goes.
      const up = Math.max(0, rise / this.dt_s) / axis.plus_gone;
      const down = Math.max(0, -rise / this.dt_s) / axis.minus_gone;
      const isPlus = accel / axis.plus + up > -accel / axis.minus + down;
      const fading = isPlus ? up : down;
      const pushes = isPlus ? accel / axis.plus : -accel / axis.minus;
      const hard = pushes + fading;
      if (fast > worst) worst = fast;
      if (hard > worst) worst = hard;
      const slower = (allowed / fast) ** 2;
      if (slower < share) {
        share = slower;
        at = k;
        bound = 'speed';
      }
      if (hard > allowed) {
        const gentler = shareFor(pushes, fading, allowed);
        if (gentler < share) {
          share = gentler;
          at = k;
          bound = isPlus ? 'plus' : 'minus';
        }
      }
    }
    if (loads) {
      loads.look(before, here, after, this.dt_s, allowed);
      if (peaks) keepUses(peaks.use, loads.use);
      worst = Math.max(worst, loads.mostShare);
      if (loads.share < share) {
        share = loads.share;
        at = poseAxes + loads.worst;
        bound = 'torque';
      }
    }
    sink.tick?.(t_s, worst);
    if (at >= 0) sink.excess({ t_s, share, axis: at, bound });
  }
}

/** The share r² of the pace squared at which pushes·r² + fading·r is what is allowed. */
function shareFor(pushes: number, fading: number, allowed: number): number {
  if (fading === 0) return allowed / pushes;
  const root = (2 * allowed) / (fading + Math.sqrt(Math.max(0, fading ** 2 + 4 * pushes * allowed)));
  return root * root;
}

function keep(peaks: Peaks, k: number, speed: number, accel: number): void {
  if (speed > peaks.speed[k]!) peaks.speed[k] = speed;
  if (accel > peaks.plus[k]!) peaks.plus[k] = accel;
  if (-accel > peaks.minus[k]!) peaks.minus[k] = -accel;
}

function keepUses(most: Float64Array, use: Float64Array): void {
  for (let i = 0; i < use.length; i++) if (!(use[i]! <= most[i]!)) most[i] = use[i]!;
}
