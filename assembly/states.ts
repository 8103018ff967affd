/**
 * The words of the guard: its states, what may happen to it, why it trips, and which state follows which (but see `cleared` in
 * guard.ts). DEVELOPERS.md prints the same table for people.
 */
export const enum State {
  limp = 0,
  rousing = 1,
  live = 2,
  holding = 3,
  settling = 4,
  tripped = 5,
}

export const enum Event {
  rouse = 0,
  settle = 1,
  /** Pulses and power off at once. */
  cut = 2,
  pause = 3,
  /** A newer frame to play. */
  frames = 4,
  /** None for SILENCE_MS. */
  silence = 5,
  /** Held for as long as the rig allows. */
  held = 6,
  /** Rousing has brought every joint home. */
  home = 7,
  /** Settling has brought every joint to rest, and nothing asks to stay powered there. */
  rest = 8,
  fault = 9,
  clear = 10,
}

/** Why it tripped. Numbers are never reused; the first one latches. */
export const enum Trip {
  none = 0,
  link = 1,
  supply = 2,
  late = 4,
  watchdog = 6,
  /** The rig's own responses trapped, or took too long. */
  response = 8,
}

/** Why the chip started: what the board puts into Inputs.reset_reason. */
export const enum Reset {
  power = 0,
  watchdog = 1,
  pin = 2,
}

const EVENTS: i32 = 11;
// Next state by state (rows) and event (columns): rouse settle cut pause frames silence held home rest fault clear.
// limp 0, rousing 1, live 2, holding 3, settling 4, tripped 5.
const TABLE: usize = memory.data<u8>([
  1,
  0,
  0,
  0,
  0,
  0,
  0,
  0,
  0,
  5,
  0, // limp
  1,
  4,
  0,
  1,
  1,
  1,
  1,
  2,
  1,
  5,
  1, // rousing
  2,
  4,
  0,
  3,
  2,
  3,
  2,
  2,
  2,
  5,
  2, // live
  3,
  4,
  0,
  3,
  2,
  3,
  4,
  3,
  3,
  5,
  3, // holding
  1,
  4,
  0,
  4,
  4,
  4,
  4,
  4,
  0,
  5,
  4, // settling
  5,
  5,
  5,
  5,
  5,
  5,
  5,
  5,
  5,
  5,
  0, // tripped
]);

/** The state that an event leads to; the same one where the table has nothing to do. */
// @ts-ignore: decorator
@inline export function following(state: State, event: Event): State {
  return <State>load<u8>(TABLE + usize(state * EVENTS + event));
}
