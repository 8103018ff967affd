/**
 * Lets the rig's responses change what is asked, between the playback clock and the reachable pose. They are asked while the prop
 * listens, and not while it wakes, settles or is tripped: then it goes where the guard says. What they change holds for one tick:
 * behind them GOAL is again what was asked without them, so that nothing adds up and the guard sees none of it.
 */
import { GOAL, RESPONDED, RESPONDING as BY_RESPONSES, VALUES, at, outputs, put } from './layout';
import { burnt, refuel } from './fuel';
import { listening } from './guard';
import { RESPONDS, respond, startResponses } from './responses';
import { seedNoise } from './senses';

/** What is asked without the responses, and whether GOAL is with them. */
const ASKED: usize = memory.data(VALUES * 4);


@unmanaged
class Responding {
  changed: bool;
}
const RESPONDING: usize = memory.data(i32(offsetof<Responding>()));
// @ts-ignore: decorator
@inline function responding(): Responding {
  return changetype<Responding>(RESPONDING);
}

export function startResponding(): void {
  if (!RESPONDS) return;
  outputs().responding = 0;
  outputs().dropped = 0;
  outputs().fuel_burnt = 0;
  responding().changed = false;
  seedNoise();
  refuel();
  startResponses();
}

/**
 * The responses' turn. Should they trap, or burn more than their fuel, Outputs.responding says whose fault it was to the start that
 * follows (guard.ts, wake).
 */
export function followResponses(count: i32): void {
  if (!RESPONDS) return;
  if (listening()) respondTo(count);
  for (let i = 0; i < 6 + count; i++) put(RESPONDED, i, at(GOAL, i));
}

function respondTo(count: i32): void {
  for (let i = 0; i < 6 + count; i++) put(ASKED, i, at(GOAL, i));
  responding().changed = true;
  refuel();
  outputs().responding = BY_RESPONSES;
  respond();
  outputs().responding = 0;
  outputs().fuel_burnt = u16(burnt());
}

/** GOAL as it is asked without the responses. */
export function putAsked(count: i32): void {
  if (!RESPONDS || !responding().changed) return;
  responding().changed = false;
  for (let i = 0; i < 6 + count; i++) put(GOAL, i, at(ASKED, i));
}
