/**
 * The events' way into flash. Two sectors take turns: records go into one until it is full; then the other is erased, gets
 * the last ten trips and, last, its head. So wear is spread, and at whatever byte the power goes one of them can be read. Every
 * record is read back; one that is wrong stays behind, and the next place is taken.
 */
import { EVENT_BYTES, Kind, Noted, book, sealed, startEvents, watchTrips, written } from './events';
import { answer, answerWaiting } from './log-answer';
import {
  Head,
  Slot,
  eraseSector,
  isFree,
  isSame,
  mayWrite,
  sealHead,
  slot,
  slotAt,
  slotsOfSector,
  writeSlot,
} from './log-flash';
import { readHead, scan } from './log-scan';
import { Phase, log, other, rememberTrip, startLogState, tripSlot, tripsCarried } from './log-state';

/** So many places in a row that cannot be written: the log is given up until the next power-on. */
const TRIES: u32 = 8;
/** What is written, until it has been read back. */
const DRAFT: usize = memory.data(i32(EVENT_BYTES));

/** Power-up. */
export function startLog(): void {
  startEvents();
  startLogState();
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
  l.phase = Phase.carrying;
}

/** Whether the record that was written can be read. */
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
  goOn(good);
}

/** Back to what waits; or what could not be written is counted, and at last given up. */
function goOn(good: bool): void {
  const l = log();
  l.tries = good ? 0 : l.tries + 1;
  l.phase = l.tries < TRIES ? Phase.ready : Phase.without;
}

/** A trip from the sector in force into the other one, at the slot behind its number; the head when all are there. */
function carry(): void {
  const l = log();
  if (!mayWrite()) return;
  if (l.at < l.trips) {
    const it = slot(l.sector, tripSlot(l.at));
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
    tripsCarried();
  }
  goOn(good);
}
