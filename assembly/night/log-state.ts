/**
 * How far the log is: what it does with its two sectors (log-flash.ts), where it stands in them, and where the last ten trips are. Others
 * read it (log-scan.ts), write it (log.ts) and answer out of it (log-answer.ts).
 */
import { slotsOfSector } from './log-flash';

const TRIPS: u32 = 10;

export const enum Phase {
  /** Reads both heads. */
  heads = 0,
  /** Reads the records of the newer one. */
  scan = 1,
  ready = 2,
  /** A record is on its way; then it is read back. */
  writing = 3,
  /** Changes sectors: the other one, erased, gets the trips, one by one; then its head. */
  carrying = 4,
  heading = 5,
  /** No room, or nothing can be written. */
  without = 6,
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
// @ts-ignore: decorator
@inline export function log(): Log {
  return changetype<Log>(LOG);
}
// @ts-ignore: decorator
@inline export function other(): u32 {
  return log().sector ^ 1;
}

/** Power-up: nothing is known of what the sectors hold. */
export function startLogState(): void {
  memory.fill(LOG, 0, offsetof<Log>());
  const l = log();
  // Without a head in either the first sector is the next one.
  l.sector = 1;
  if (!slotsOfSector()) l.phase = Phase.without;
}

/** Slot of the k-th of the last trips, the oldest first. */
export function tripSlot(k: u32): u32 {
  return load<u16>(TRIP_SLOTS + (usize(k) << 1));
}

/** The trip in this slot is the newest; the eleventh is forgotten. */
export function rememberTrip(at: u32): void {
  const l = log();
  if (l.trips == TRIPS) {
    memory.copy(TRIP_SLOTS, TRIP_SLOTS + 2, 2 * (usize(TRIPS) - 1));
    l.trips -= 1;
  }
  store<u16>(TRIP_SLOTS + (usize(l.trips++) << 1), u16(at));
}

/** All of them have been carried over: they stand at the beginning of the sector that is now in force. */
export function tripsCarried(): void {
  for (let k: u32 = 0; k < log().trips; k++) store<u16>(TRIP_SLOTS + (usize(k) << 1), u16(k + 1));
}
