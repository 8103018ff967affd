/**
 * What the log holds when power comes: both heads, then the records of the newer sector, a page a tick. Whether it moved when the power
 * went, how warm it was, which numbers come next.
 */
import { EVENT_BYTES, Kind, Noted, book, follow, warmAsLeft } from './events';
import { Head, SLOTS_IN_PAGE, Slot, isHead, slot, slotAt, slotsOfSector } from './log-flash';
import { Phase, log, rememberTrip } from './log-state';

/** The heads of both sectors, one a tick. */
export function readHead(): void {
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
export function scan(): void {
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

function ready(): void {
  const b = book();
  b.boots += 1;
  b.dirty = b.open;
  warmAsLeft();
  b.ready = true;
  log().phase = Phase.ready;
}
