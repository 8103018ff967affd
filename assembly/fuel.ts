/**
 * What a rig's responses may do in a tick is counted in fuel: about one for each operation that stands in the source, at least one
 * for each turn of a loop and each call. The build writes burn() into them; it is the same on every chip and in simulation.
 */

import { OUT_OF_FUEL, image, outputs } from './layout';

/**
 * Fuel of a tick at most, and of a second: of a tick there is less where ticks are shorter. One costs up to 80 cycles of a Cortex-M0+
 * (tests/boards/responses.test.ts measures it): all of it is then 0.64 ms of a pico at 125 MHz, and at any rate 13 % of its time at most.
 */
export const FUEL: i32 = 1000;
const FUEL_S: i32 = 200000;


@unmanaged
class Tank {
  left: i32;
  /** Of a whole tick, and the rate that it was reckoned for. */
  full: i32;
  hz: i32;
}
const TANK: usize = memory.data(i32(offsetof<Tank>()));
// @ts-ignore: decorator
@inline function tank(): Tank {
  return changetype<Tank>(TANK);
}

export function refuel(): void {
  const t = tank();
  const hz = i32(image().tick_hz);
  // A board divides slowly: only where the rate is another.
  if (t.hz != hz) {
    t.hz = hz;
    t.full = FUEL_S / hz < FUEL ? FUEL_S / hz : FUEL;
  }
  t.left = t.full;
}

export function burnt(): i32 {
  return tank().full - tank().left;
}

/** Traps when there is not so much left, and says that it is that. */
export function burn(fuel: i32): void {
  const left = tank().left - fuel;
  if (left < 0) {
    outputs().responding = OUT_OF_FUEL;
    unreachable();
  }
  tank().left = left;
}
