/** The controller's only clock: ticks, and the microseconds they add up to, both wrapping. */
import { image } from './layout';


@unmanaged
class Clock {
  tick: u32;
  now_us: u32;
  /** Whole microseconds a tick, and what is left over, in 1 / tick_hz of a microsecond, so that no rate drifts. */
  period_us: u32;
  left: u32;
  owed: u32;
}
const CLOCK: usize = memory.data(i32(offsetof<Clock>()));
// @ts-ignore: decorator
@inline function clock(): Clock {
  return changetype<Clock>(CLOCK);
}

// @ts-ignore: decorator
@inline export function tickNumber(): u32 {
  return clock().tick;
}
// @ts-ignore: decorator
@inline export function now_us(): u32 {
  return clock().now_us;
}
// @ts-ignore: decorator
@inline export function period_us(): u32 {
  return clock().period_us;
}
/** The instant being played: what arrived in time, delayed by a constant. */
// @ts-ignore: decorator
@inline export function play_us(): u32 {
  return clock().now_us - image().delay_us;
}

export function setRate(hz: u32): void {
  const c = clock();
  c.period_us = 1000000 / hz;
  c.left = 1000000 % hz;
  c.owed = 0;
}

export function startClock(): void {
  clock().tick = 0;
  clock().now_us = 0;
}

export function advanceClock(): void {
  const c = clock();
  c.tick += 1;
  c.now_us += c.period_us;
  c.owed += c.left;
  const hz = u32(image().tick_hz);
  if (c.owed >= hz) {
    c.owed -= hz;
    c.now_us += 1;
  }
}
