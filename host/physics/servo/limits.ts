/**
 * The speed and acceleration limits that a joint's servo can keep, from the torque its load takes and the torque it gives: at any
 * place and any speed at most `peak_use` of what the servo line leaves there. An acceleration bound counts whatever the
 * motion's phase: `plus` raises the load and also brakes it when it falls. Since a servo gives less the faster it turns, what raises a
 * heavy load fades with speed, along a straight line as the servo's own; braking, where the servo has all of its torque, does not.
 * Legs share one set of limits that do not fade, and since each feels the others' accelerations, the worst place counts with
 * all of them accelerating against it. Dry friction that the file gives takes from what speeds a joint up; that it helps to brake
 * is left as a margin, since one bound serves both.
 */
import type { Joint } from '../../rig/rig.ts';
import { available, fastest, frictionOf, stallOf } from './servo-line.ts';

/** What a joint feels at one place: effort to hold it there, and effort per acceleration. */
export interface Place {
  readonly at: number;
  readonly hold: number;
  readonly inertia: number;
}

/** In the joint's unit a second (or squared). */
export interface Bounds {
  readonly speed: number;
  readonly plus: number;
  readonly minus: number;
  /** Plus falls evenly with upward speed, to nothing at plus_gone; minus with downward speed. Infinity: it stays. */
  readonly plus_gone: number;
  readonly minus_gone: number;
}

export interface Limits extends Bounds {
  /** Of a full-range move within them, the slower way. */
  readonly full_range_s: number;
}

/** Without what else is with them. */
export const boundsOf = ({ speed, plus, minus, plus_gone, minus_gone }: Bounds): Bounds => ({
  speed,
  plus,
  minus,
  plus_gone,
  minus_gone,
});

export type LimitsOrWhy = Limits | { readonly none: 'unknown' | 'cannot_hold' };

/** What is not to be exceeded whatever the servo can do, in the joint's unit; `use`: what to spend, else the servo's peak_use. */
export interface Caps extends Partial<Bounds> {
  readonly use?: number;
}

/** The file's own figures as the most there may be. */
export const capsOf = (joint: Joint): Caps => boundsOf(joint);

const SPEEDS = 240;
const BISECTIONS = 60;
/** Of speeds whose full-range moves take nearly the same time the lowest is taken (ours). */
const NEARLY = 1.01;
/** A limit that fades by a smaller share than this up to its speed is written down as one that stays (ours). */
const BARELY = 1e-3;
/** Nothing is set free altogether: an inertia of nearly nothing would allow any acceleration. Half the range from rest in so many s (ours). */
const QUICKEST_S = 0.02;

/** Speeding up by `accel`, which fades to nothing at the speed `gone` (Infinity: never), and braking by `brake`, all above 0. */
export interface Phases {
  readonly speed: number;
  readonly accel: number;
  readonly gone: number;
  readonly brake: number;
}

/**
 * s of a move over a distance from rest to rest. Speeding up is v' = accel·(1 - v/gone): its speed, time and way are
 * gone·(1 - e^-L), (gone/accel)·L and (gone²/accel)·(L - 1 + e^-L), with L its time in units of gone/accel.
 */
export function moveTime(distance: number, { speed, accel, gone, brake }: Phases): number {
  if (!Number.isFinite(gone)) return trapezoidTime(distance, speed, accel, brake);
  const reached = (L: number): number => -gone * Math.expm1(-L);
  const way = (L: number): number => (gone ** 2 / accel) * (L + Math.expm1(-L)) + reached(L) ** 2 / (2 * brake);
  const time = (L: number): number => (gone / accel) * L + reached(L) / brake;
  const full = speed < gone ? -Math.log1p(-speed / gone) : Infinity;
  if (way(full) <= distance) return time(full) + (distance - way(full)) / speed;
  // L - 1 alone is longer than the way at this many.
  return time(largest(Math.min(full, (distance * accel) / gone ** 2 + 1), (L) => way(L) <= distance));
}

function trapezoidTime(distance: number, speed: number, accel: number, brake: number): number {
  const both = 1 / accel + 1 / brake;
  return (speed * speed * both) / 2 < distance ? distance / speed + (speed * both) / 2 : Math.sqrt(2 * distance * both);
}

/** s of a move from one soft limit to the other within its bounds, the slower way. */
export const fullRange = (range: number, { speed, plus, minus, plus_gone, minus_gone }: Bounds): number =>
  Math.max(
    moveTime(range, { speed, accel: plus, gone: plus_gone, brake: minus }),
    moveTime(range, { speed, accel: minus, gone: minus_gone, brake: plus }),
  );

/** Largest value from 0 to `most` that holds, where smaller ones hold if it does; 0: none. */
function largest(most: number, holds: (value: number) => boolean): number {
  if (holds(most)) return most;
  let [lo, hi] = [0, most];
  for (let k = 0; k < BISECTIONS; k++) {
    const middle = (lo + hi) / 2;
    if (holds(middle)) lo = middle;
    else hi = middle;
  }
  return lo;
}

/** Limits of a joint that feels these places, in ascending order over its soft limits: two at least. */
export function limitsOf(joint: Joint, places: readonly Place[], caps: Caps = {}): LimitsOrWhy {
  const use = caps.use ?? joint.servo.peak_use;
  const top = fastest(joint);
  if (top === null || stallOf(joint) === null || !places.every(({ inertia }) => inertia > 0))
    return { none: 'unknown' };
  const up = liftOf(joint, places, use, 1);
  const down = liftOf(joint, places, use, -1);
  if (!(up.at(0) > 0 && down.at(0) > 0)) return { none: 'cannot_hold' };
  const range = joint.hi - joint.lo;
  const most = range / QUICKEST_S ** 2;
  const cap = { plus: most, minus: most, plus_gone: Infinity, minus_gone: Infinity, ...caps };
  const withSpeed = (speed: number): Limits => {
    const [plus, plus_gone] = beneath(up, speed, Math.min(most, cap.plus), cap.plus_gone);
    const [minus, minus_gone] = beneath(down, speed, Math.min(most, cap.minus), cap.minus_gone);
    const bounds = { speed, plus, minus, plus_gone, minus_gone };
    return { ...bounds, full_range_s: fullRange(range, bounds) };
  };
  // Beyond where both are gone no speed is reached.
  const reached = Math.max(up.gone, down.gone);
  if (caps.speed !== undefined) return withSpeed(Math.min(caps.speed, reached));
  const all = Array.from({ length: SPEEDS - 1 }, (_, k) => withSpeed((reached * (k + 1)) / SPEEDS));
  const best = Math.min(...all.map(({ full_range_s }) => full_range_s));
  return all.find(({ full_range_s }) => full_range_s <= best * NEARLY)!;
}

/** The most acceleration toward `sign` at each speed, and the speed at which there is none: it falls with speed, ever faster. */
interface Lift {
  readonly at: (speed: number) => number;
  readonly gone: number;
}

function liftOf(joint: Joint, places: readonly Place[], use: number, sign: 1 | -1): Lift {
  const friction = frictionOf(joint);
  const at = (speed: number): number => {
    const gives = use * available(joint, sign * speed, sign)! - friction;
    return Math.min(...places.map(({ hold, inertia }) => (gives - sign * hold) / inertia));
  };
  const heaviest = Math.max(0, ...places.map(({ hold }) => sign * hold + friction));
  return { at, gone: fastest(joint)! * (1 - heaviest / (use * stallOf(joint)!)) };
}

/** The straight line beneath both a lift and a limit, up to a speed: its value at rest, and the speed at which it is gone. */
function beneath(lift: Lift, speed: number, limit: number, limitGone: number): [number, number] {
  const start = Math.min(limit, lift.at(0));
  const end = Math.min(speed, lift.gone);
  const left = Math.max(0, lift.at(end));
  if (start * (1 - end / limitGone) <= left) return [start, limitGone];
  // Its end would lie beyond any speed that a controller takes.
  if (left > start * (1 - BARELY)) return [left, limitGone];
  return [start, (end * start) / (start - left)];
}

/** What the legs feel at one pose, leg1 … leg6: effort to hold it, and effort when all accelerate against this one. */
export interface LegPlace {
  readonly hold: readonly number[];
  readonly inertia: readonly number[];
}

/** Speeds to look at: evenly up to the servo's no-load speed, which it never reaches, and the cap itself. */
function speeds(top: number, { speed: cap = Infinity }: Caps): number[] {
  const all = Array.from({ length: SPEEDS - 1 }, (_, k) => (top * (k + 1)) / SPEEDS).filter((speed) => speed < cap);
  return cap < top ? [...all, cap] : all;
}

/**
 * Limits that all six legs can keep at these poses, spending peak_use. The worst pose counts at every speed.
 * @param legs leg1 … leg6: of one servo class, with soft limits of their own.
 */
export function legLimits(legs: readonly Joint[], places: readonly LegPlace[], caps: Caps = {}): LimitsOrWhy {
  const [leg] = legs;
  const top = leg ? fastest(leg) : null;
  if (!leg || top === null || stallOf(leg) === null || places.length === 0) return { none: 'unknown' };
  if (!places.every(({ inertia }) => inertia.every((m) => m > 0))) return { none: 'unknown' };
  const spend = caps.use ?? leg.servo.peak_use;
  const range = Math.max(...legs.map(({ lo, hi }) => hi - lo));
  let best: Limits | null = null;
  for (const speed of speeds(top, caps)) {
    const gives = spend * available(leg, speed, 1)! - frictionOf(leg);
    let plus = Math.min(range / QUICKEST_S ** 2, caps.plus ?? Infinity);
    let minus = Math.min(range / QUICKEST_S ** 2, caps.minus ?? Infinity);
    for (const { hold, inertia } of places)
      for (let i = 0; i < 6; i++) {
        plus = Math.min(plus, (gives - hold[i]!) / inertia[i]!);
        minus = Math.min(minus, (gives + hold[i]!) / inertia[i]!);
      }
    if (!(plus > 0 && minus > 0)) continue;
    const bounds = { speed, plus, minus, plus_gone: Infinity, minus_gone: Infinity };
    const full_range_s = fullRange(range, bounds);
    if (!best || full_range_s < best.full_range_s) best = { ...bounds, full_range_s };
  }
  return best ?? { none: 'cannot_hold' };
}
