/**
 * Where the log stands in flash: its two sectors of pages, four records a page, the first record of a sector its head. All that the log
 * needs of pages.ts is here: a page comes a tick after it was asked for, and one thing is done at a time.
 */
import { crc32 } from '../crc';
import { pulsing, state } from '../guard';
import { PAGE_BYTES, PAGE_OUT } from '../layout';
import { State } from '../states';
import {
  Owner,
  PageState,
  claimPages,
  eraseSectorAt,
  halfPages,
  logPage,
  pageAt,
  pageState,
  program,
  releasePages,
  sectorPages,
} from './pages';
import { EVENT_BYTES } from './events';

export const SLOTS_IN_PAGE: u32 = 4;
const LOG_MAGIC: u32 = 0x314c5750; // "PWL1"

/** A sector's head. It is written last: a sector without one is none. */
@unmanaged
export class Head {
  /** CRC-32 of the 60 bytes behind it. */
  crc: u32;
  magic: u32;
  /** The higher one is being written (wrapping). */
  sequence: u32;
  /** Erasures of both so far, with the one that made it. */
  wear: u32;
  /** Number of the next event, power-ups, and whether it had moved, when it was made. */
  next: u32;
  boots: u32;
  open: u32;
  /** How warm the newest event before it had it, in 1 / HEAT. */
  warmth: u32;
}

export const enum Slot {
  /** Not written: all ones. */
  blank = 0,
  whole = 1,
  /** Power went while it was written, or bits have changed. */
  torn = 2,
}

/** What stands in the 64 bytes at `from`. */
export function slotAt(from: usize): Slot {
  let all: u32 = 0xffffffff;
  for (let k: usize = 0; k < EVENT_BYTES; k += 4) all &= load<u32>(from + k);
  if (all == 0xffffffff) return Slot.blank;
  return crc32(from + 4, u32(EVENT_BYTES) - 4) == load<u32>(from) ? Slot.whole : Slot.torn;
}

export function isHead(from: usize): bool {
  return slotAt(from) == Slot.whole && changetype<Head>(from).magic == LOG_MAGIC;
}

/** Whether two records are the same; by words, since memory.compare loads 64 bits at a time, which boards have no function for. */
export function isSame(a: usize, b: usize): bool {
  let differ: u32 = 0;
  for (let k: usize = 0; k < EVENT_BYTES; k += 4) differ |= load<u32>(a + k) ^ load<u32>(b + k);
  return !differ;
}

/** Records that a sector has room for, with its head; 0: the board has no room for a log. */
export function slotsOfSector(): u32 {
  return halfPages() ? sectorPages() * SLOTS_IN_PAGE : 0;
}

/** The page that slot s of a sector stands in. */
function pageOf(sector: u32, s: u32): u32 {
  return logPage() + sector * sectorPages() + s / SLOTS_IN_PAGE;
}

/** Slot s of a sector; 0: its page is on its way. */
export function slot(sector: u32, s: u32): usize {
  const page = pageAt(pageOf(sector, s));
  return page ? page + usize(s % SLOTS_IN_PAGE) * EVENT_BYTES : 0;
}

/** Nothing is being written. What was claimed for it is given back. */
export function isFree(): bool {
  if (pageState() == PageState.busy) return false;
  releasePages(Owner.log);
  return true;
}

/**
 * Whether the flash may be changed, and by the log: it takes the processor's time, and no pulse must be on meanwhile. What it says is
 * good for this tick.
 */
export function mayWrite(): bool {
  return !pulsing() && (state() == State.limp || state() == State.tripped) && claimPages(Owner.log);
}

/** Writes the record at `from` into slot s; what stands beside it in the page is left as it is. False: not on this tick. */
export function writeSlot(sector: u32, s: u32, from: usize): bool {
  memory.fill(PAGE_OUT, 0xff, usize(PAGE_BYTES));
  memory.copy(PAGE_OUT + usize(s % SLOTS_IN_PAGE) * EVENT_BYTES, from, EVENT_BYTES);
  return program(pageOf(sector, s));
}

/** False: not on this tick. */
export function eraseSector(sector: u32): bool {
  return eraseSectorAt(pageOf(sector, 0));
}

/** Makes the 64 bytes of a head out of its fields. */
export function sealHead(head: Head): void {
  head.magic = LOG_MAGIC;
  head.crc = crc32(changetype<usize>(head) + 4, u32(EVENT_BYTES) - 4);
}
