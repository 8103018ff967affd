/**
 * What every joint did at most since the last telemetry, so that a slow line hides no tick: lowest and highest place, fastest
 * step either way, greatest change of step either way, ticks on which its limits held it back. Per-tick units.
 */
import { JOINTS, joint } from './layout';
import { heldBack } from './track';


@unmanaged
export class Extremes {
  lowest: f32;
  highest: f32;
  rise: f32;
  fall: f32;
  plus: f32;
  minus: f32;
  /** Step of the tick before. */
  before: f32;
  held: u16;
  /** 1: nothing recorded since the last report. */
  fresh: u16;
}
const EXTREMES: usize = memory.data(16 * 32);

// @ts-ignore: decorator
@inline
export function extremes(i: i32): Extremes {
  return changetype<Extremes>(EXTREMES + usize(i) * offsetof<Extremes>());
}

/** Begins anew: what is recorded next is the first. */
export function forgetExtremes(): void {
  for (let i = 0; i < JOINTS; i++) {
    const e = extremes(i);
    const at = joint(i).out;
    e.lowest = at;
    e.highest = at;
    e.rise = 0;
    e.fall = 0;
    e.plus = 0;
    e.minus = 0;
    e.held = 0;
    e.fresh = 1;
  }
}

/** A tick on which nothing moves. */
export function recordStill(): void {
  for (let i = 0; i < JOINTS; i++) extremes(i).before = 0;
}

/** A tick on which joints moved. */
export function recordMotion(count: i32): void {
  for (let i = 0; i < count; i++) {
    const e = extremes(i);
    const j = joint(i);
    const at = j.out;
    const step = j.out_step;
    const change = step - e.before;
    e.before = step;
    if (heldBack(j)) e.held += 1;
    if (e.fresh) {
      e.fresh = 0;
      e.lowest = at;
      e.highest = at;
      e.rise = step;
      e.fall = step;
      e.plus = change;
      e.minus = change;
      continue;
    }
    if (at < e.lowest) e.lowest = at;
    if (at > e.highest) e.highest = at;
    if (step > e.rise) e.rise = step;
    if (step < e.fall) e.fall = step;
    if (change > e.plus) e.plus = change;
    if (change < e.minus) e.minus = change;
  }
}
