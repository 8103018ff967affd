/**
 * What happened, as records of 64 bytes that wait here in memory until the flash may be written (log.ts does that): trips by themselves,
 * the rest as the player notes it. And what the log says of the last stop.
 */
import { inputs } from '../layout';
import { crc32 } from '../crc';
import { state, trip } from '../guard';
import { State, Trip } from '../states';
import { HEAT, ENTRY, ENTRY_NAME_AT, NOBODY } from './plan';
import { furthestBehind, hardest, seen, supplyLowest, tickLongest } from './seen';
import { assumeWarm, warmest } from './warmth';

/** What an event is. Numbers are never reused. */
export const enum Kind {
  none = 0,
  /** Power came, or a reset; detail: a Reset. */
  power = 1,
  /** A show, or idle life, is about to move. */
  started = 2,
  /** It has come to rest. */
  stopped = 3,
  /** detail: a Trip. */
  trip = 4,
  /** Somebody ended what moved, or waited to, or starts by itself; detail: a By of stopping.ts. */
  stop = 5,
  /** Somebody looked, and cleared it. */
  cleared = 6,
  /** A start was not made; detail: a Result of the link. */
  refused = 7,
  /** A response trapped or took too long, and is off. */
  response = 8,
  /** A show's bytes in flash are wrong. */
  damaged = 9,
}

/** How the joint of an event was found. */
export const enum How {
  nobody = 0,
  /** It was asked for most of its speed. */
  hardest = 1,
  /** It was furthest behind what was asked. */
  behind = 2,
  /** Noted after a reset, which kept the reason and not the rest. */
  reset = 4,
}

/** An event, as it stands in flash. */
@unmanaged
export class Noted {
  /** CRC-32 of the 60 bytes behind it. */
  crc: u32;
  /** Its number in the life of the log. */
  n: u32;
  /** Since power, 0.1 s; and the wall clock's seconds since 1970, 0 where nobody has told it. */
  at_ds: u32;
  unix: u32;
  boots: u16;
  /** Of the same kind and detail in this power-on, with this one. */
  same: u16;
  kind: u8;
  detail: u8;
  joint: u8;
  how: u8;
  value: i32;
  /** In the show, s, 0xffff: in none. */
  second: u16;
  show: u8;
  night: u8;
  state: u8;
  /** Events before this one for which there was no room. */
  lost: u8;
  /** In 1 / HEAT. */
  warmth: u8;
  reserved: u8;
  /** The lowest of the last tenth or two, mV; the longest tick of it, us. */
  supply_mv: u16;
  longest_us: u16;
  reserved2: u32;
}
/** Behind its fields the beginning of the show's name. */
const NAME_AT: usize = offsetof<Noted>();
const NAME_BYTES: usize = 20;
/** 64: four make a page. */
export const EVENT_BYTES: usize = NAME_AT + NAME_BYTES;

const WAITING: i32 = 8;
const QUEUE: usize = memory.data(WAITING * i32(EVENT_BYTES));
/** How often kind and detail (modulo 16) were noted in this power-on. */
const SAME_BYTES: i32 = 16 * 16 * 2;
const SAME: usize = memory.data(SAME_BYTES);

/** What the log says, and what is to be written into it. */
@unmanaged
class Book {
  /** Number of the next event, power-ups so far, erasures of the log so far. */
  next: u32;
  boots: u32;
  wear: u32;
  /** How warm the newest event in flash had it, in 1 / HEAT, as power found it. */
  warmth: u32;
  /** unix - at_ds / 10, once told. */
  epoch: u32;
  waiting: i32;
  lost: u32;
  /** What flash says, read as far as it is: moved since it last came to rest, or something that cannot be read. */
  open: bool;
  /** That, as power found it, until somebody clears it. */
  dirty: bool;
  /** The log is read. */
  ready: bool;
  tripped: bool;
  begun: bool;
}
const BOOK: usize = memory.data(i32(offsetof<Book>()));
// @ts-ignore: decorator
@inline export function book(): Book {
  return changetype<Book>(BOOK);
}
// @ts-ignore: decorator
@inline function queued(i: i32): Noted {
  return changetype<Noted>(QUEUE + usize(i) * EVENT_BYTES);
}

export function boots(): u16 {
  return u16(book().boots);
}
/** Erasures of the log's sectors so far. */
export function wear(): u16 {
  return book().wear < 0xffff ? u16(book().wear) : 0xffff;
}
/** Power went between `started` and `stopped`, and nobody has cleared it since; true as well until the log is read, and where it cannot be. */
export function lastStopDirty(): bool {
  return !book().ready || book().dirty;
}
/** Nothing waits to be written: what was noted outlives the power. A show moves only then. */
export function allWritten(): bool {
  return book().ready && book().waiting == 0;
}
/** The wall clock: seconds since 1970. */
export function setTime(unix: u32): void {
  book().epoch = unix - seen().at_ds / 10;
}

/** Power-up. */
export function startEvents(): void {
  memory.fill(BOOK, 0, offsetof<Book>());
  memory.fill(SAME, 0, SAME_BYTES);
}

/** Once a tick: the trips. */
export function watchTrips(): void {
  const b = book();
  if (!b.begun) {
    b.begun = true;
    note(Kind.power, inputs().reset_reason, 0);
  }
  const is = state() == State.tripped;
  if (is && !b.tripped) noteTrip(trip());
  b.tripped = is;
}

/** Notes what happened, to be written as soon as the flash may be. False: there was no room, and nothing in it that matters less. */
export function note(kind: Kind, detail: u8, value: i32): bool {
  if (kind == Kind.cleared) book().dirty = false;
  return put(kind, detail, value, NOBODY, How.nobody);
}

/**
 * Of a low supply the joint that was asked hardest; where the cause is no joint (line, clock, watchdog, response) the one that was behind
 * most, if any was: a hint where to look, no blame.
 */
function noteTrip(reason: Trip): void {
  let how: u32 = How.reset;
  let which = NOBODY;
  // On the first ticks it is one that a reset has kept: nothing has been seen yet.
  if (seen().at_ds) {
    how = reason == Trip.supply ? How.hardest : How.behind;
    which = reason == Trip.supply ? hardest() : furthestBehind();
    if (which == NOBODY) how = How.nobody;
  }
  let value: i32 = 0;
  if (reason == Trip.supply) value = supplyLowest();
  else if (reason == Trip.late) value = tickLongest();
  put(Kind.trip, u8(reason), value, which, how);
}

function put(kind: Kind, detail: u8, value: i32, which: u8, how: u32): bool {
  const b = book();
  const times = SAME + (usize(((u32(kind) & 15) << 4) | (detail & 15)) << 1);
  const same = load<u16>(times);
  if (same < 0xffff) store<u16>(times, same + 1);
  if (b.waiting == WAITING && !makeRoom(kind)) {
    if (b.lost < 255) b.lost += 1;
    return false;
  }
  const s = seen();
  const it = queued(b.waiting++);
  memory.fill(changetype<usize>(it), 0, EVENT_BYTES);
  it.at_ds = s.at_ds;
  it.unix = b.epoch ? b.epoch + s.at_ds / 10 : 0;
  it.same = load<u16>(times);
  it.kind = u8(kind);
  it.detail = detail;
  it.joint = which;
  it.how = u8(how);
  it.value = value;
  it.show = s.show;
  it.second = s.show == NOBODY ? 0xffff : s.second;
  it.night = s.night;
  it.state = u8(state());
  it.warmth = warmthByte();
  it.supply_mv = supplyLowest();
  it.longest_us = tickLongest();
  if (s.show != NOBODY) memory.copy(changetype<usize>(it) + NAME_AT, ENTRY + ENTRY_NAME_AT, NAME_BYTES);
  return true;
}

/**
 * The log is read. How long the power was gone nobody knows: it counts as no time, so that after a warm evening it rests a little longer
 * than it need. What was on its way may have been as warm as it may get.
 */
export function warmAsLeft(): void {
  const b = book();
  const left = b.warmth ? f32(b.warmth + 1) * (1 / HEAT) : 0;
  assumeWarm(b.open && left < 1 ? 1 : left);
}

function warmthByte(): u8 {
  const x = warmest() * HEAT;
  return x > 0 ? (x < 255 ? u8(x) : 255) : 0;
}

/**
 * Hours may go by until the flash may be written. Trips matter most; then what says that it has come to rest, or else the next power-on
 * waits for somebody to look; then why a show ended or did not begin; that one began matters least.
 */
function rankOf(kind: Kind): u32 {
  if (kind == Kind.trip) return 3;
  if (kind == Kind.stopped || kind == Kind.cleared) return 2;
  return kind == Kind.started ? 0 : 1;
}

/** Drops the newest of those that matter least, if they matter less; but the first may be on its way into the flash. */
function makeRoom(kind: Kind): bool {
  for (let rank: u32 = 0; rank < rankOf(kind); rank++) {
    for (let i = WAITING - 1; i > 0; i--) {
      if (rankOf(<Kind>queued(i).kind) != rank) continue;
      drop(i);
      if (book().lost < 255) book().lost += 1;
      return true;
    }
  }
  return false;
}

function drop(i: i32): void {
  const b = book();
  b.waiting -= 1;
  for (; i < b.waiting; i++) memory.copy(changetype<usize>(queued(i)), changetype<usize>(queued(i + 1)), EVENT_BYTES);
}

/** The i-th that waits, with its number, its power-on and its CRC, at `to`. */
export function sealed(i: i32, to: usize): void {
  const b = book();
  // Noted before the log was read, which says how warm it was when the power went.
  if (queued(i).kind == u8(Kind.power)) queued(i).warmth = warmthByte();
  memory.copy(to, changetype<usize>(queued(i)), EVENT_BYTES);
  const it = changetype<Noted>(to);
  it.n = b.next + u32(i);
  it.boots = u16(b.boots);
  if (i == 0) it.lost = u8(b.lost);
  it.crc = crc32(to + 4, u32(EVENT_BYTES) - 4);
}

/** The first that waits stands in flash. */
export function written(): void {
  const b = book();
  b.next += 1;
  b.lost = 0;
  b.warmth = queued(0).warmth;
  follow(queued(0).kind);
  drop(0);
}

/** What an event in flash says of whether it moved since it last came to rest. */
export function follow(kind: u8): void {
  const b = book();
  if (kind == u8(Kind.started)) b.open = true;
  else if (kind == u8(Kind.stopped) || kind == u8(Kind.cleared)) b.open = false;
}
