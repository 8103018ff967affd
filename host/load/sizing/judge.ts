/**
 * Whether a servo, behind its gear, would do for what is asked of a joint. Three questions, each with its limit: the largest share
 * of what it can give, moving at that speed or holding at the hardest place (peak_use); the torque that heats it, the root of the
 * mean square along the stream and what it holds where it may stay (continuous_use); and whether it is quick enough at all.
 * The root mean square rule and the torque-speed line are those of motor sizing handbooks (Celera Motion, TN-2003 Motor Sizing 101).
 */
import { fastest, stallOf } from '../../physics/servo/servo-line.ts';
import type { Joint } from '../../rig/rig.ts';
import { type Asked, type HeldAt, ownEffort } from './asked.ts';

/** What a servo would be asked for. Shares of what it can give; null: not known, or the servo is too slow for it. */
export interface Judged {
  /** Largest share, moving or holding. */
  readonly use: number | null;
  /** Share of continuous_use: 1 is all that it may give for long. */
  readonly heat: number | null;
  /** Efforts could all be so much larger, as a share of themselves, before it is not enough; below 0 by so much too large. */
  readonly margin: number | null;
  /** Null: not known. */
  readonly enough: boolean | null;
  /** What there is too little of. */
  readonly short: 'torque' | 'speed' | 'heat' | null;
  /** Where the largest share is. */
  readonly at: Moment | null;
}

/** Where a share is largest: at a time of the stream, with effort and rate at the joint; or holding. */
export type Moment =
  | { readonly kind: 'moving'; readonly t_s: number; readonly effort: number; readonly rate: number }
  | { readonly kind: 'holding'; readonly where: HeldAt; readonly effort: number };

/** Rounding of what stands exactly at a limit. */
const ALLOWED = 1 + 1e-9;

/** What is left of an effort by something that helps: at a tick, and at a place to hold. */
export interface Help {
  readonly moving: (effort: number, tick: number) => number;
  readonly holding: (effort: number, place: number) => number;
}

export const NO_HELP: Help = { moving: (effort) => effort, holding: (effort) => effort };

interface Found {
  share: number;
  at: Moment | null;
}

/** The largest share moving; Infinity: faster than the servo is. @param ticks which ones to look at; null: all */
function hardest(joint: Joint, asked: Asked, help: Help, ticks: ArrayLike<number> | null): Found {
  const [stall, top] = [stallOf(joint) ?? NaN, fastest(joint) ?? NaN];
  const found: Found = { share: 0, at: null };
  const n = ticks ? ticks.length : asked.t_s.length;
  let most = 0;
  for (let m = 0; m < n; m++) {
    const k = ticks ? ticks[m]! : m;
    const rate = asked.rate[k]!;
    const effort = help.moving(asked.effort[k]!, k) + ownEffort(joint, rate, asked.accel[k]!);
    const driving = Math.max(0, effort < 0 ? -rate : rate);
    const share =
      Math.abs(rate) >= top ? Infinity : Math.abs(effort) / (driving === 0 ? stall : stall * (1 - driving / top));
    const isFaster = share === Infinity && Math.abs(rate) > most;
    if (Number.isNaN(share)) return { share, at: null };
    if (!(share > found.share) && !isFaster) continue;
    most = Math.abs(rate);
    found.share = share;
    found.at = { kind: 'moving', t_s: asked.t_s[k]!, effort, rate };
  }
  return found;
}

/** Root of the mean square of |effort| over stall. */
function average(joint: Joint, asked: Asked, help: Help, ticks: ArrayLike<number> | null): number {
  const stall = stallOf(joint) ?? NaN;
  const n = ticks ? ticks.length : asked.t_s.length;
  let squares = 0;
  for (let m = 0; m < n; m++) {
    const k = ticks ? ticks[m]! : m;
    squares += (help.moving(asked.effort[k]!, k) + ownEffort(joint, asked.rate[k]!, asked.accel[k]!)) ** 2;
  }
  return n === 0 ? 0 : Math.sqrt(squares / n) / stall;
}

/** Ticks that a quick look sees: where efforts, rates and places are largest, and even ones for the average. */
export interface Ticks {
  readonly peaks: ArrayLike<number> | null;
  readonly even: ArrayLike<number> | null;
}

const ALL: Ticks = { peaks: null, even: null };

export function judge(joint: Joint, asked: Asked, help: Help = NO_HELP, ticks: Ticks = ALL): Judged {
  const { continuous_use, peak_use } = joint.servo;
  const stall = stallOf(joint) ?? NaN;
  const moving = hardest(joint, asked, help, ticks.peaks);
  const held = asked.holds.map((where, n) => ({ where, effort: help.holding(where.effort, n) }));
  let { share: use, at } = moving;
  let heat = average(joint, asked, help, ticks.even) / continuous_use;
  for (const { where, effort } of held) {
    const share = Math.abs(effort) / stall;
    if (where.where === 'home' || where.where === 'rest') heat = Math.max(heat, share / continuous_use);
    // NaN stays: what is not known of one is not known of all.
    if (share > use || Number.isNaN(share)) [use, at] = [share, { kind: 'holding', where, effort }];
  }
  if (use === Infinity) return { use: null, heat: known(heat), margin: null, enough: false, short: 'speed', at };
  if (Number.isNaN(use) || Number.isNaN(heat))
    return { use: null, heat: known(heat), margin: null, enough: null, short: null, at: null };
  const short = use > peak_use * ALLOWED ? 'torque' : heat > ALLOWED ? 'heat' : null;
  const spent = Math.max(use / peak_use, heat);
  return { use, heat, margin: spent === 0 ? null : 1 / spent - 1, enough: short === null, short, at };
}

/** The worst of joints that share a class: one that is not known, then one that is too fast, then the one with the least margin. */
export function worstOf<T extends Judged>(all: readonly T[]): T {
  const rank = ({ enough, margin, use }: Judged): number =>
    enough === null ? -Infinity : use === null ? -10 : (margin ?? Infinity);
  return all.reduce((a, b) => (rank(b) < rank(a) ? b : a));
}

const known = (value: number): number | null => (Number.isNaN(value) ? null : value);

/** What has to come down to 1: the larger of use over peak_use and heat; Infinity: too fast, or not known. */
export function spentOf(joint: Joint, asked: Asked, help: Help, ticks: Ticks): number {
  const { use, heat } = judge(joint, asked, help, ticks);
  return use === null || heat === null ? Infinity : Math.max(use / joint.servo.peak_use, heat);
}
