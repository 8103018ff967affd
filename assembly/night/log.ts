/**
 * The events' way into flash and out of it. Two sectors take turns: records go into one until it is full; then the other is erased, gets
 * the last ten trips and, last, its head. So wear is spread, and at whatever byte the power goes one of them can be read. Every
 * record is read back; one that is wrong stays behind, and the next place is taken.
 */
import { EVENT_BYTES, Kind, Noted, book, follow, sealed, startEvents, warmAsLeft, watchTrips, written } from './events';
import {
  Head,
  SLOTS_IN_PAGE,
  Slot,
  eraseSector,
  isFree,
  isHead,
  isSame,
  mayWrite,
  sealHead,
  slot,
  slotAt,
  slotsOfSector,
  writeSlot,
} from './log-flash';
import { partAt, sendPart } from './part';

const TRIPS: u32 = 10;
/** So many places in a row that cannot be written: the log is given up until the next power-on. */
const TRIES: u32 = 8;

const enum Phase {
  /** Reads both heads. */
  heads = 0,
  /** Reads the records of the newer one. */
  scan = 1,
  ready = 2,
  /** A record is on its way; then it is read back. */
  writing = 3,
  /** Changes sectors: the other one is being erased; gets the trips, one by one; gets its head. */
  erasing = 4,
  carrying = 5,
  heading = 6,
  /** No room, or nothing can be written. */
  without = 7,
}


@unmanaged
class Log {
  phase: Phase;
  /** The sector in force, its sequence, and the next free slot in it. */
  sector: u32;
  sequence: u32;
  next: u32;
  /** Slots of the other one that can be read, its head among them; 0: it has none. */
  older: u32;
  /** Of scanning and carrying. */
  at: u32;
  tries: u32;
  /** How many of the last ten trips there are: slots of the sector in force, at TRIP_SLOTS, the oldest first. */
  trips: u32;
  /** A head that is neither blank nor whole. */
  torn: bool;
  found: bool;
  /** The link waits for events from this number on. */
  asked: bool;
  from: u32;
}
const LOG: usize = memory.data(i32(offsetof<Log>()));
const TRIP_SLOTS: usize = memory.data(i32(TRIPS) * 2);
const DRAFT: usize = memory.data(i32(EVENT_BYTES));
// @ts-ignore: decorator
@inline function log(): Log {
  return changetype<Log>(LOG);
}
// @ts-ignore: decorator
@inline function other(): u32 {
  return log().sector ^ 1;
}

/** Power-up. */
export function startLog(): void {
  startEvents();
  memory.fill(LOG, 0, offsetof<Log>());
  const l = log();
  // Without a head in either the first sector is the next one.
  l.sector = 1;
  if (!slotsOfSector()) l.phase = Phase.without;
}

/** Once a tick: trips are noted, and one step of what the flash has to do is done. */
export function logTick(): void {
  watchTrips();
  const l = log();
  if (!isFree()) return;
  switch (l.phase) {
    case Phase.heads:
      readHead();
      break;
    case Phase.scan:
      scan();
      break;
    case Phase.ready:
      if (l.asked) answer();
      else if (book().waiting && mayWrite()) write();
      break;
    case Phase.writing:
      check();
      break;
    case Phase.erasing:
    case Phase.carrying:
      carry();
      break;
    case Phase.heading:
      checkHead();
      break;
    default:
      if (l.asked) answerWaiting(0);
  }
}

function readHead(): void {
  const l = log();
  const it = slot(l.at, 0);
  if (!it) return;
  if (isHead(it)) {
    const head = changetype<Head>(it);
    if (!l.found || i32(head.sequence - l.sequence) > 0) {
      l.older = l.found ? slotsOfSector() : 0;
      takeHead(head);
    } else l.older = slotsOfSector();
  } else if (slotAt(it) != Slot.blank) l.torn = true;
  l.at += 1;
  if (l.at < 2) return;
  l.at = 1;
  l.next = 1;
  // What cannot be read may have been the news that it moved.
  if (l.torn) book().open = true;
  if (l.found) l.phase = Phase.scan;
  else ready();
}

function takeHead(head: Head): void {
  const l = log();
  const b = book();
  l.found = true;
  l.sector = l.at;
  l.sequence = head.sequence;
  b.wear = head.wear;
  b.next = head.next;
  b.boots = head.boots;
  b.open = head.open != 0;
  b.warmth = head.warmth;
}

/** A page of records a tick; the first page without any is behind the last. */
function scan(): void {
  const l = log();
  const b = book();
  const end = slotsOfSector();
  if (l.at < end) {
    let it = slot(l.sector, l.at);
    if (!it) return;
    let blank: u32 = 0;
    const begun = l.at % SLOTS_IN_PAGE;
    for (let k = begun; k < SLOTS_IN_PAGE; k++, l.at++, it += EVENT_BYTES) {
      const is = slotAt(it);
      if (is == Slot.blank) {
        blank += 1;
        continue;
      }
      l.next = l.at + 1;
      if (is == Slot.torn) b.open = true;
      else learn(changetype<Noted>(it), l.at);
    }
    if (blank + begun < SLOTS_IN_PAGE) return;
  }
  ready();
}

function learn(it: Noted, at: u32): void {
  const b = book();
  // Trips that were carried over are older than the head.
  if (i32(it.n - b.next) >= 0) {
    b.next = it.n + 1;
    b.warmth = it.warmth;
  }
  if (it.boots > u16(b.boots)) b.boots = it.boots;
  follow(it.kind);
  if (it.kind == u8(Kind.trip)) rememberTrip(at);
}

/** The trip in this slot is the newest; the eleventh is forgotten. */
function rememberTrip(at: u32): void {
  const l = log();
  if (l.trips == TRIPS) {
    memory.copy(TRIP_SLOTS, TRIP_SLOTS + 2, 2 * (usize(TRIPS) - 1));
    l.trips -= 1;
  }
  store<u16>(TRIP_SLOTS + (usize(l.trips++) << 1), u16(at));
}

function ready(): void {
  const b = book();
  b.boots += 1;
  b.dirty = b.open;
  warmAsLeft();
  b.ready = true;
  log().phase = Phase.ready;
}

/** The first event that waits; or the other sector has to be made ready for it. */
function write(): void {
  const l = log();
  if (l.found && l.next < slotsOfSector()) {
    const it = slot(l.sector, l.next);
    if (!it) return;
    // A place that once could not be written may have been taken for the end.
    if (slotAt(it) != Slot.blank) {
      l.next += 1;
      return;
    }
    sealed(0, DRAFT);
    if (writeSlot(l.sector, l.next, DRAFT)) l.phase = Phase.writing;
    return;
  }
  if (!eraseSector(other())) return;
  book().wear += 1;
  l.older = 0;
  l.at = 0;
  l.phase = Phase.erasing;
}

function check(): void {
  const l = log();
  const it = slot(l.sector, l.next);
  if (!it) return;
  const good = isSame(it, DRAFT);
  if (good) {
    if (changetype<Noted>(DRAFT).kind == u8(Kind.trip)) rememberTrip(l.next);
    written();
  }
  l.next += 1;
  goOn(good, Phase.ready);
}

/** Counts what could not be written. */
function goOn(good: bool, phase: Phase): void {
  const l = log();
  l.tries = good ? 0 : l.tries + 1;
  l.phase = l.tries < TRIES ? phase : Phase.without;
}

/** A trip from the sector in force into the other one, at the slot behind its number; the head when all are there. */
function carry(): void {
  const l = log();
  if (!mayWrite()) return;
  l.phase = Phase.carrying;
  if (l.at < l.trips) {
    const it = slot(l.sector, load<u16>(TRIP_SLOTS + (usize(l.at) << 1)));
    if (!it) return;
    if (writeSlot(other(), l.at + 1, it)) l.at += 1;
    return;
  }
  const b = book();
  memory.fill(DRAFT, 0, EVENT_BYTES);
  const head = changetype<Head>(DRAFT);
  head.sequence = l.sequence + 1;
  head.wear = b.wear;
  head.next = b.next;
  head.boots = b.boots;
  head.open = u32(b.open);
  head.warmth = b.warmth;
  sealHead(head);
  if (writeSlot(other(), 0, DRAFT)) l.phase = Phase.heading;
}

/** The other sector is in force, unless its head cannot be read: then it is erased again. */
function checkHead(): void {
  const l = log();
  const it = slot(other(), 0);
  if (!it) return;
  const good = isSame(it, DRAFT);
  if (good) {
    l.older = l.found ? slotsOfSector() : 0;
    l.sector = other();
    l.found = true;
    l.sequence += 1;
    l.next = l.trips + 1;
    for (let k: u32 = 0; k < l.trips; k++) store<u16>(TRIP_SLOTS + (usize(k) << 1), u16(k + 1));
  }
  goOn(good, Phase.ready);
}

/** Events from number n on, as the link reads them: those of the older sector, of the one in force, then those that wait. */
export function answerEvents(n: u32): void {
  log().asked = true;
  log().from = n;
}

// @ts-ignore: decorator
@inline function inOlder(): u32 {
  return log().older ? log().older - 1 : 0;
}

function answer(): void {
  const l = log();
  const older = inOlder();
  const inFlash = older + l.next - 1;
  if (l.from >= inFlash) {
    answerWaiting(inFlash);
    return;
  }
  const isOlder = l.from < older;
  const s = (isOlder ? l.from : l.from - older) + 1;
  const it = slot(isOlder ? other() : l.sector, s);
  if (!it) return;
  const end = isOlder ? older + 1 : l.next;
  let k = SLOTS_IN_PAGE - (s % SLOTS_IN_PAGE);
  if (k > end - s) k = end - s;
  memory.copy(partAt(), it, usize(k) * EVENT_BYTES);
  tell(k, inFlash);
}

/** Those that wait, behind so many in flash. */
function answerWaiting(inFlash: u32): void {
  const first = log().from - inFlash;
  let k: u32 = 0;
  for (; first + k < u32(book().waiting) && k < 7; k++) sealed(i32(first + k), partAt() + usize(k) * EVENT_BYTES);
  tell(k, inFlash);
}

function tell(k: u32, inFlash: u32): void {
  log().asked = false;
  sendPart(1, k * u32(EVENT_BYTES), log().from, inFlash + u32(book().waiting));
}
