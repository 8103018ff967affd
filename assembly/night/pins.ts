/** The plan's pins, as the board hands them over: bit k is pin k of Plan.in_pins, or of Plan.out_pins. */
import { inputs, outputs } from '../layout';

/** Input pins that are closed to ground. */
// @ts-ignore: decorator
@inline export function closedPins(): u32 {
  return inputs().closed;
}

/** Output pins that are on from the end of this tick. */
// @ts-ignore: decorator
@inline export function setLines(on: u32): void {
  outputs().lines = u8(on);
}
