/**
 * The speed and acceleration limits that a joint's servo can keep, from the torque its load takes and the torque it gives. An
 * acceleration bound counts whatever the motion's phase: `plus` raises the load and also brakes it when it falls.
 *
 * What is spent: on a full-range move, from rest to rest, at most `peak_use`; from any other place, at any speed up to the
 * limit, at most a quarter of the way from that to all. Of the speeds that leave both accelerations above 0 the one with the quickest
 * full-range move is taken. Legs share one set of limits, and since each feels the others' accelerations, the worst place
 * counts with all of them accelerating against it.
 */
import type { Joint } from '../rig/rig.ts';
import { available, fastest, stallOf } from './servo-line.ts';

/** What a joint feels at one place: effort to hold it there, and effort per acceleration. */
export interface Place {
  readonly at: number;
  readonly hold: number;
  readonly inertia: number;
}

/** In the joint's unit a second (or squared). */
export interface Limits {
  readonly speed: number;
  readonly plus: number;
  readonly minus: number;
  /** Of a full-range move within them. */
  readonly full_range_s: number;
}

export type LimitsOrWhy = Limits | { readonly none: 'unknown' | 'cannot_hold' };

/** What is not to be exceeded whatever the servo can do, in the joint's unit; `use`: what to spend, else the servo's peak_use. */
export interface Caps {
  readonly speed?: number;
  readonly plus?: number;
  readonly minus?: number;
  readonly use?: number;
}

/** The file's own figures as the most there may be. */
export const capsOf = ({ speed, plus, minus }: Joint): Caps => ({ speed, plus, minus });

const SPEEDS = 240;
const BISECTIONS = 40;
/** Nothing is set free altogether: an inertia of nearly nothing would allow any acceleration. Half the range from rest in so many s (ours). */
const QUICKEST_S = 0.02;

/** Time of a move over a distance from rest to rest within speed, start and stop (trapezoid or triangle), s. Back takes as long. */
export function moveTime(
  distance: number,
  { speed, start, stop }: { speed: number; start: number; stop: number },
): number {
  const both = 1 / start + 1 / stop;
  return (speed * speed * both) / 2 < distance ? distance / speed + (speed * both) / 2 : Math.sqrt(2 * distance * both);
}

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

/**
 * Limits of a joint that feels these places, in ascending order over its soft limits: two at least.
 */
export function limitsOf(joint: Joint, places: readonly Place[], caps: Caps = {}): LimitsOrWhy {
  const use = caps.use ?? joint.servo.peak_use;
  const top = fastest(joint);
  const stall = stallOf(joint);
  if (top === null || stall === null || !places.every(({ inertia }) => inertia > 0)) return { none: 'unknown' };
  let best: Limits | null = null;
  for (const speed of speeds(top, caps)) {
    const found = atSpeed(joint, places, use, speed, caps);
    if (found && (!best || found.full_range_s < best.full_range_s)) best = found;
  }
  return best ?? { none: 'cannot_hold' };
}

/** Speeds to look at: evenly up to the servo's no-load speed, which it never reaches, and the cap itself. */
function speeds(top: number, { speed: cap = Infinity }: Caps): number[] {
  const all = Array.from({ length: SPEEDS - 1 }, (_, k) => (top * (k + 1)) / SPEEDS).filter((speed) => speed < cap);
  return cap < top ? [...all, cap] : all;
}

/** With this speed limit; null: the load cannot be moved at it. */
function atSpeed(joint: Joint, places: readonly Place[], use: number, speed: number, caps: Caps): Limits | null {
  const anywhere = (1 + 3 * use) / 4;
  const range = joint.hi - joint.lo;
  const most = range / QUICKEST_S ** 2;
  const up = available(joint, speed, 1)!;
  const down = available(joint, speed, -1)!;
  let plus = Math.min(most, caps.plus ?? Infinity);
  let minus = Math.min(most, caps.minus ?? Infinity);
  for (const { hold, inertia } of places) {
    if (hold > use * up || -hold > use * down) return null;
    plus = Math.min(plus, (anywhere * up - hold) / inertia);
    minus = Math.min(minus, (anywhere * down + hold) / inertia);
  }
  if (!(plus > 0 && minus > 0)) return null;
  plus = largest(plus, (a) => keeps(joint, places, use, speed, a, 1));
  minus = largest(minus, (a) => keeps(joint, places, use, speed, a, -1));
  if (!(plus > 0 && minus > 0)) return null;
  return { speed, plus, minus, full_range_s: moveTime(range, { speed, start: plus, stop: minus }) };
}

/** Between neighbours. */
const widestGap = (places: readonly Place[]): number =>
  places.reduce((most, { at }, k) => Math.max(most, at - (places[k - 1]?.at ?? at)), 0);

/**
 * Whether a full-range move that acceleration a toward `sign` starts stays within `use`. It brakes one the other way over the same
 * places, where the servo gives more.
 */
function keeps(joint: Joint, places: readonly Place[], use: number, speed: number, a: number, sign: 1 | -1): boolean {
  const span = (speed * speed) / (2 * a) + widestGap(places);
  return places.every(({ at, hold, inertia }) => {
    const run = Math.max(0, sign > 0 ? at - joint.lo : joint.hi - at);
    if (run > span) return true;
    const v = Math.min(speed, Math.sqrt(2 * a * run));
    return inertia * a + sign * hold <= use * available(joint, sign * v, sign)!;
  });
}

/** What the legs feel at one pose, leg1 … leg6: effort to hold it, and effort when all accelerate against this one. */
export interface LegPlace {
  readonly hold: readonly number[];
  readonly inertia: readonly number[];
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
    const gives = spend * available(leg, speed, 1)!;
    let plus = Math.min(range / QUICKEST_S ** 2, caps.plus ?? Infinity);
    let minus = Math.min(range / QUICKEST_S ** 2, caps.minus ?? Infinity);
    for (const { hold, inertia } of places)
      for (let i = 0; i < 6; i++) {
        plus = Math.min(plus, (gives - hold[i]!) / inertia[i]!);
        minus = Math.min(minus, (gives + hold[i]!) / inertia[i]!);
      }
    if (!(plus > 0 && minus > 0)) continue;
    const full_range_s = moveTime(range, { speed, start: plus, stop: minus });
    if (!best || full_range_s < best.full_range_s) best = { speed, plus, minus, full_range_s };
  }
  return best ?? { none: 'cannot_hold' };
}
