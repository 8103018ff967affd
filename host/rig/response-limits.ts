/** What bounds a rig’s responses: the fuel of a tick (assembly/fuel.ts), and how far a prop is moved at all. */

/** Fuel of a tick at most, and of a second: FUEL and FUEL_S of assembly/fuel.ts. */
export const FUEL = 1000;
const FUEL_S = 200_000;

/** Fuel of a tick of so many a second: never more than 13 % of a pico's time. */
export const fuelOf = (tick_hz: number): number => Math.min(FUEL, Math.floor(FUEL_S / tick_hz));

/** How a response failed, in words. */
export const failureWords = (cause: 'fuel' | 'trap', tick_hz: number): string =>
  cause === 'fuel'
    ? `it needs more than the ${String(fuelOf(tick_hz))} of fuel that a tick at ${String(tick_hz)} a second has (a loop that is too long, or never ends)`
    : 'it trapped (unreachable(), or whole numbers divided by zero)';

/** More than any prop is moved, mm or deg (ours): what asks for it is mistaken. */
const FAR = { mm: 1000, deg: 360 };

/** Whether it is further than any prop is moved. */
export const isFar = (unit: 'mm' | 'deg', by: number): boolean => !(Math.abs(by) <= FAR[unit]);
