/**
 * A stream as the controller's ticks see it: differences of what is asked from tick to tick, against the limits of speed, plus
 * and minus. The controller measures itself the same way.
 */
import { Envelope } from '../replay/envelope.ts';
import type { StoredStream } from '../stream/stored.ts';
import type { Loads } from './loads.ts';
import type { RigMotion } from './motion.ts';
import { flag } from './spans.ts';

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

/** The hardest thing that a tick asks for. */
interface Worst {
  /** Share of the pace squared that would be left; 1: nothing is too much. */
  pace: number;
  /** Axis, -1: none. */
  axis: number;
  bound: Bound;
}

/** A limit for each axis as a factor, so that a tick multiplies: per s or s², and per a tick's rise or its change. */
const perTick = (limits: readonly number[], dt_s: number): Float64Array =>
  Float64Array.from(limits, (limit) => 1 / (limit * dt_s));

const PER_AXIS = 5;

/** Walks along streams, tick by tick. */
export class TickWalk {
  readonly dt_s: number;
  private readonly motion: RigMotion;
  private readonly loads: Loads | null;
  private readonly phases: number;
  private readonly allowed: number;
  /** Rows of the last two ticks, phase by phase. */
  private readonly ring: readonly Float64Array[];
  /** The stream walked along last, and the axes that it moves. */
  private walked: StoredStream | null = null;
  private moving: Int32Array = new Int32Array(0);
  /** By axis: factors of speed, plus, minus, and of the speeds at which plus and minus are gone. */
  private readonly per: Float64Array;
  private readonly poseAxes: number;
  /** Worst share of a limit at the last look. */
  private limit = 0;
  /** How often a row was worked out. */
  looked = 0;
  private readonly worst: Worst = { pace: 1, axis: -1, bound: 'speed' };

  /**
   * @param loads null: torque is not looked at.
   * @param phases how finely ticks are tried that come at another moment: so many times a tick.
   * @param allowed what is more than this share of a limit is too much.
   */
  constructor(motion: RigMotion, loads: Loads | null, phases: number, allowed: number) {
    const { axes } = motion;
    const dt_s = 1 / motion.rig.motion.tick_hz;
    this.allowed = allowed;
    this.motion = motion;
    this.loads = loads?.isKnown ? loads : null;
    this.phases = phases;
    this.dt_s = dt_s;
    this.ring = Array.from({ length: 2 * phases + 1 }, () => new Float64Array(axes.length));
    const of = (key: 'speed' | 'plus_gone' | 'minus_gone'): number[] => axes.map((axis) => axis[key]);
    const squared = (key: 'plus' | 'minus'): number[] => axes.map((axis) => axis[key] * dt_s);
    const columns = [
      perTick(of('speed'), dt_s),
      perTick(squared('plus'), dt_s),
      perTick(squared('minus'), dt_s),
      perTick(of('plus_gone'), dt_s),
      perTick(of('minus_gone'), dt_s),
    ];
    this.per = Float64Array.from(axes.flatMap((_, k) => columns.map((column) => column[k]!)));
    this.poseAxes = motion.poseAxes;
  }

  /** Ticks at from_s, a phase later and so on, up to to_s. Ticks out of reach count for nothing. */
  walk(stream: StoredStream, from_s: number, to_s: number, peaks: Peaks | null, sink: TickSink): void {
    const { motion, dt_s, phases, ring } = this;
    let known = 0;
    if (this.walked !== stream) this.moving = motion.moving(stream);
    this.walked = stream;
    const looks = Math.ceil(((to_s - from_s) / dt_s) * phases - 1e-9);
    const at_s = (k: number): number => from_s + (k * dt_s) / phases;
    for (let k = -phases, slot = 0; k <= looks + phases; k++, slot = (slot + 1) % ring.length) {
      known = motion.at(stream, at_s(k), ring[slot]!) ? known + 1 : 0;
      this.looked++;
      if (known < ring.length) continue;
      this.look(slot, at_s(k - phases), k % phases === 0 ? this.loads : null, peaks, sink);
      if (k % phases !== 0 || this.worst.axis >= 0) continue;
      // All of them would be told what this one was, and find nothing.
      const rests_s = restsUntil(stream, at_s(k - 2 * phases), at_s(k));
      for (; k < looks + phases && at_s(k + 1) < rests_s; k++) sink.tick?.(at_s(k + 1 - phases), this.limit);
    }
  }

  /** @param loads null: a tick at which torque is not looked at, since it costs as much as all else ten times over. */
  private look(slot: number, t_s: number, loads: Loads | null, peaks: Peaks | null, sink: TickSink): void {
    const { ring, phases, allowed, worst, dt_s } = this;
    const after = ring[slot]!;
    const here = ring[(slot + phases + 1) % ring.length]!;
    const before = ring[(slot + 1) % ring.length]!;
    let limit = 0;
    worst.pace = 1;
    worst.axis = -1;
    const { moving } = this;
    for (let m = 0; m < moving.length; m++) {
      const k = moving[m]!;
      const rise = after[k]! - here[k]!;
      const change = rise - (here[k]! - before[k]!);
      if (peaks) keep(peaks, k, Math.abs(rise) / dt_s, change / (dt_s * dt_s));
      const share = this.lookAt(k, rise, change);
      if (share > limit) limit = share;
    }
    if (loads) {
      loads.look(before, here, after, dt_s, allowed);
      if (peaks) keepUses(peaks.use, loads.use);
      if (loads.mostShare > limit) limit = loads.mostShare;
      if (loads.share < worst.pace) this.tooMuch(this.motion.poseAxes + loads.worst, loads.share, 'torque');
    }
    this.limit = limit;
    sink.tick?.(t_s, limit);
    if (worst.axis >= 0) sink.excess({ t_s, share: worst.pace, axis: worst.axis, bound: worst.bound });
  }

  /** @returns the larger share of a limit that axis k takes. */
  private lookAt(k: number, rise: number, change: number): number {
    const { per, allowed } = this;
    const o = PER_AXIS * k;
    const fast = Math.abs(rise) * per[o]!;
    if (fast > allowed) this.tooMuch(k, (allowed / fast) ** 2, 'speed');
    // The controller bounds the speed of a pose's component alone.
    if (k < this.poseAxes) return fast;
    // A limit that fades: accel ≤ plus·(1 - v/gone), the way that the tick goes.
    const up = rise > 0 ? rise * per[o + 3]! : 0;
    const down = rise < 0 ? -rise * per[o + 4]! : 0;
    const plus = change * per[o + 1]!;
    const minus = -change * per[o + 2]!;
    const isPlus = plus + up > minus + down;
    const hard = isPlus ? plus + up : minus + down;
    if (hard > allowed) {
      const pace = isPlus ? shareFor(plus, up, allowed) : shareFor(minus, down, allowed);
      this.tooMuch(k, pace, isPlus ? 'plus' : 'minus');
    }
    return hard > fast ? hard : fast;
  }

  private tooMuch(axis: number, pace: number, bound: Bound): void {
    const { worst } = this;
    if (!(pace < worst.pace)) return;
    worst.pace = pace;
    worst.axis = axis;
    worst.bound = bound;
  }
}

/** Until when the stream asks for what it asks for all the time from from_s to to_s; -Infinity: it moves meanwhile. */
function restsUntil(stream: StoredStream, from_s: number, to_s: number): number {
  if (stream.count < 2) return -Infinity;
  const frame = stream.intervalAt(to_s);
  const end_s = stream.time(frame + 1);
  return from_s >= stream.time(frame) && to_s < end_s && stream.restsAfter(frame) ? end_s : -Infinity;
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

/** The stream's largest figures, the worst share of a limit along it, and what is too much. */
export interface Walked {
  readonly peaks: Peaks;
  readonly worst: Envelope;
  readonly found: readonly Excess[];
}

/** From a tick before the first frame to a tick after the last. */
export function walkAll(motion: RigMotion, loads: Loads, stream: StoredStream): Walked {
  const walk = new TickWalk(motion, loads, 1, ALLOWED);
  const peaks = new Peaks(motion.axes.length, motion.rig.joints.length);
  const worst = new Envelope();
  const found: Excess[] = [];
  const start_s = stream.time(0);
  walk.walk(stream, start_s - walk.dt_s, stream.time(stream.count - 1) + walk.dt_s, peaks, {
    excess: (excess) => void found.push(excess),
    tick: (t_s, share) => {
      worst.add(t_s - start_s, share);
    },
  });
  return { peaks, worst, found };
}

/** By frame interval: 1 where a tick asks for too much. */
export function flags(motion: RigMotion, stream: StoredStream, found: readonly Excess[]): Uint8Array {
  const tooMuch = new Uint8Array(stream.count);
  for (const { t_s } of found) flag(tooMuch, stream, t_s, 1 / motion.rig.motion.tick_hz);
  return tooMuch;
}
