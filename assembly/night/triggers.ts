/** What starts a show besides the link: pins, a schedule of relative times, a loop; and the rules for starts that nobody looks at. */
import { REST_POWERED, image } from '../layout';
import { entryOf, isRemoved, showCount } from './archive';
import {
  IN_PINS,
  NOBODY,
  NO_PIN,
  PLAN,
  PLAN_BARRIER,
  PLAN_LOOP,
  PLAN_STARTS,
  PLAN_STARTS_AT,
  SHOWS,
  START_INVERTED,
  START_LEVEL,
  START_UNATTENDED,
  entry,
  plan,
} from './plan';

/** Why a start was refused: the numbers of Result (answer.ts); from 32 on what the link never says. */
export const enum Why {
  none = 0,
  notNow = 1,
  malformed = 3,
  noNight = 5,
  barred = 7,
  tooWarm = 8,
  damaged = 9,
  heldButton = 11,
  stopOpen = 12,
  noBarrier = 32,
  noStopLoop = 33,
  restPowered = 34,
  notWritten = 35,
}

/** Of a show, what must be known before it is asked for. */
@unmanaged
class Start {
  pin: u8;
  flags: u8;
  warmest: u8;
  reserved: u8;
}
const STARTS: usize = memory.data(i32(SHOWS) * i32(offsetof<Start>()));


@unmanaged
class Triggers {
  /** Shows whose entries have been read. */
  known: u32;
  /** Pins closed as last seen, and debounced. Ticks until the debounced ones are known at all. */
  raw: u32;
  closed: u32;
  blind: u32;
  debounce: u32;
  /** Shows whose pin is active; was, a tick ago; whose pin has done what it can do until it is let go. */
  active: u32;
  was: u32;
  spent: u32;
  /** Shows that a visitor's pin starts. */
  alone: u32;
  /** The schedule's next start and how long until then, s; the loop's. */
  next: u32;
  wait_s: u32;
  /** For so long it has been due, s. */
  late_s: u32;
  loop_next: u32;
  loop_wait_s: u32;
}
const TRIGGERS: usize = memory.data(i32(offsetof<Triggers>()));
const AGES: usize = memory.data(IN_PINS * 4);

// @ts-ignore: decorator
@inline function triggers(): Triggers {
  return changetype<Triggers>(TRIGGERS);
}
// @ts-ignore: decorator
@inline function startOf(k: u32): Start {
  return changetype<Start>(STARTS + usize(k << 2));
}

export function startTriggers(): void {
  memory.fill(TRIGGERS, 0, offsetof<Triggers>());
  memory.fill(AGES, 0, usize(IN_PINS) * 4);
}

/** One tick of reading what the shows' entries say of their starts. Whether all is known. */
export function learnStarts(): bool {
  const t = triggers();
  const count = showCount();
  if (t.known < count && entryOf(t.known)) {
    const s = startOf(t.known);
    if (entry().start_flags & START_UNATTENDED) t.alone |= u32(1) << t.known;
    t.known += 1;
    s.pin = entry().start;
    s.flags = entry().start_flags;
    s.warmest = entry().warmest;
  }
  if (!count || t.known < count) return false;
  t.debounce = (u32(plan().debounce_ms) * u32(image().tick_hz)) / 1000;
  t.blind = t.debounce + 1;
  t.wait_s = scheduledWait(0);
  t.loop_wait_s = plan().pause_s;
  return true;
}

/** The warmest that show k gets from cold, in 1 / HEAT. */
export function warmestOf(k: u32): u8 {
  return startOf(k).warmest;
}

/** One tick: takes what pins are closed. A pin counts when it has stood for the debouncing time; what is so at power-up is no edge. */
export function watchPins(raw: u32): void {
  const t = triggers();
  const changed = raw ^ t.raw;
  t.raw = raw;
  for (let i = 0; i < IN_PINS; i++) {
    const bit = u32(1) << u32(i);
    const age = AGES + (usize(i) << 2);
    if (changed & bit) store<u32>(age, 0);
    else if (load<u32>(age) < t.debounce) store<u32>(age, load<u32>(age) + 1);
    if (load<u32>(age) >= t.debounce) t.closed = (t.closed & ~bit) | (raw & bit);
  }
  t.was = t.active;
  t.active = activeShows();
  t.spent &= t.active;
  if (!t.blind) return;
  t.blind -= 1;
  t.was = t.active;
  // Power that comes back starts nothing that somebody should look at.
  t.spent = t.active & ~t.alone;
}

function activeShows(): u32 {
  const t = triggers();
  let active: u32 = 0;
  for (let k: u32 = 0; k < t.known; k++) {
    const s = startOf(k);
    if (s.pin >= u8(IN_PINS)) continue;
    const closed = ((t.closed >> u32(s.pin)) & 1) != 0;
    if (closed != ((s.flags & START_INVERTED) != 0)) active |= u32(1) << k;
  }
  return active;
}

/** Whether pin i of the plan is closed, debounced. */
export function pinClosed(i: u8): bool {
  return i < u8(IN_PINS) && ((triggers().closed >> u32(i)) & 1) != 0;
}

/** What is active now starts nothing more until it has been let go. */
export function spendPins(): void {
  triggers().spent |= triggers().active;
}

/** The first show whose pin starts it on this tick, or NOBODY. */
export function startedByPin(): u8 {
  const t = triggers();
  if (t.blind) return NOBODY;
  const free = t.active & ~t.spent;
  const k = firstThere(free & ~t.was, 0);
  return k != NOBODY ? k : firstThere(free, START_LEVEL);
}

/** The first of these shows that has the flag, if any is wanted, and is not removed. */
function firstThere(shows: u32, flag: u32): u8 {
  for (; shows; shows &= shows - 1) {
    const k = ctz(shows);
    if (!isRemoved(k) && (startOf(k).flags & flag) == flag) return u8(k);
  }
  return NOBODY;
}

/** Nobody looks at the prop who starts show k by its pin. */
export function unattended(k: u8): bool {
  return (startOf(k).flags & START_UNATTENDED) != 0;
}

/** Whether anything in this night starts that nobody looks at. */
export function startsAlone(): bool {
  return triggers().alone != 0 || plan().starts != 0 || (plan().flags & PLAN_LOOP) != 0;
}

/** Why nothing may start here that nobody looks at, if so. That the last stop was clean is for the night to know. */
export function whyNotAlone(): Why {
  if (!(plan().flags & PLAN_BARRIER)) return Why.noBarrier;
  if (image().stop_pin == NO_PIN) return Why.noStopLoop;
  if (image().rest_kind == REST_POWERED) return Why.restPowered;
  return Why.none;
}

// @ts-ignore: decorator
@inline function scheduled(i: u32): usize {
  return PLAN + PLAN_STARTS_AT + (usize(i) << 2);
}
// @ts-ignore: decorator
@inline function scheduledWait(i: u32): u32 {
  return load<u16>(scheduled(i));
}
// @ts-ignore: decorator
@inline function scheduledLeft(): bool {
  return triggers().next < u32(plan().starts) && triggers().next < u32(PLAN_STARTS);
}

/** A second has passed; between: the prop is between shows, and the loop's pause counts. */
export function triggersSecond(between: bool): void {
  const t = triggers();
  if (t.wait_s) t.wait_s -= 1;
  else t.late_s += 1;
  if (!between) t.loop_wait_s = plan().pause_s;
  else if (t.loop_wait_s) t.loop_wait_s -= 1;
}

/** The show that the schedule, or the loop, wants now; or NOBODY. */
export function startedByItself(): u8 {
  const t = triggers();
  if (scheduledLeft() && t.wait_s == 0) return load<u8>(scheduled(t.next), 2);
  if (plan().flags & PLAN_LOOP && t.loop_wait_s == 0) return loopNext();
  return NOBODY;
}

function loopNext(): u8 {
  const t = triggers();
  const count = showCount();
  for (let i: u32 = 0; i < count; i++) {
    if (t.loop_next >= count) t.loop_next = 0;
    if (!isRemoved(t.loop_next)) return u8(t.loop_next);
    t.loop_next += 1;
  }
  return NOBODY;
}

/** What startedByItself said has been started, or refused: the next one's turn. */
export function turnTaken(): void {
  const t = triggers();
  if (scheduledLeft() && t.wait_s == 0) {
    t.next += 1;
    const wait_s = scheduledLeft() ? scheduledWait(t.next) : 0;
    t.wait_s = wait_s > t.late_s ? wait_s - t.late_s : 0;
    t.late_s = 0;
    return;
  }
  t.loop_next += 1;
  // A refused one must not be asked again on every tick.
  t.loop_wait_s = plan().pause_s ? plan().pause_s : 1;
}
