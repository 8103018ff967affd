/**
 * What a rig's responses may do in a tick is counted in fuel: about one for each operation that stands in the source, at least one
 * for each turn of a loop and each call. The build writes burn() into them; it is the same on every chip and in simulation.
 */

/**
 * Fuel of a tick. One costs up to 80 cycles of a Cortex-M0+ (tests/boards/responses.test.ts measures it): all of it is then
 * 0.64 ms of a pico at 125 MHz, of a tick of 5 ms.
 */
export const FUEL: i32 = 1000;


@unmanaged
class Tank {
  left: i32;
}
const TANK: usize = memory.data(i32(offsetof<Tank>()));
// @ts-ignore: decorator
@inline function tank(): Tank {
  return changetype<Tank>(TANK);
}

export function refuel(): void {
  tank().left = FUEL;
}

export function burnt(): i32 {
  return FUEL - tank().left;
}

/** Traps when there is not so much left. */
export function burn(fuel: i32): void {
  const left = tank().left - fuel;
  if (left < 0) unreachable();
  tank().left = left;
}
