/** The shows of the night in force, entry by entry, as the link asks for them. */
import { OUT, Result, Type, answerTo, send } from '../answer';
import {
  archiveBusy,
  archiveMissing,
  archiveOpen,
  Missing,
  entryAt,
  isRemoved,
  newestSequence,
  rigInForce,
  showCount,
} from './archive';
import { isChecked, isDamaged } from './checking';
import { awaits, nightState } from './night';
import { ENTRY_NAME_AT, Entry, NAME_BYTES } from './plan';

/** Flags of an entry that is told. */
const enum Told {
  removed = 1,
  damaged = 2,
  unchecked = 4,
  awaited = 8,
}


@unmanaged
class Listing {
  /** The entry that is asked for, + 1; 0: none; and that question's number. */
  entry: u8;
  sequence: u8;
}
const LISTING: usize = memory.data(i32(offsetof<Listing>()));
// @ts-ignore: decorator
@inline function listing(): Listing {
  return changetype<Listing>(LISTING);
}

export function startListing(): void {
  memory.fill(LISTING, 0, offsetof<Listing>());
}

/** Why there is no night to ask about. */
export function missing(): Result {
  return archiveMissing() == Missing.rig ? Result.otherRig : Result.noNight;
}

/** Payload: u8 show. Answered by its entry, or by why there is none. */
export function list(sequence: u8, at: usize, n: u32): Result {
  const l = listing();
  if (n != 1 || load<u8>(at) == 255) return Result.malformed;
  l.entry = load<u8>(at) + 1;
  l.sequence = sequence;
  return Result.later;
}

/** One tick of it, behind the link's. */
export function tendListing(): void {
  const l = listing();
  if (l.entry && !archiveBusy()) tellEntry(l);
}

function tellEntry(l: Listing): void {
  const k = u32(l.entry) - 1;
  if (!archiveOpen() || (k > 0 && k >= showCount())) {
    l.entry = 0;
    answerTo(u8(Type.nightList), l.sequence, archiveOpen() ? Result.malformed : missing());
    return;
  }
  const at = entryAt(k);
  if (!at) return;
  l.entry = 0;
  store<u8>(OUT, Type.nightEntry);
  store<u8>(OUT, u8(k), 2);
  store<u8>(OUT, u8(showCount()), 3);
  store<u8>(OUT, u8(nightState()), 4);
  store<u8>(OUT, flagsOf(k), 5);
  store<u32>(OUT, rigInForce(), 6);
  store<u32>(OUT, changetype<Entry>(at).frames, 10);
  store<u32>(OUT, newestSequence(), 14);
  memory.copy(OUT + 18, at + ENTRY_NAME_AT, NAME_BYTES);
  send(18 + u32(NAME_BYTES));
}

function flagsOf(k: u32): u8 {
  const removed = isRemoved(k) ? Told.removed : 0;
  const damaged = isDamaged(k) ? Told.damaged : 0;
  const awaited = awaits(k) ? Told.awaited : 0;
  return u8(removed | damaged | awaited | (isChecked(k) ? 0 : Told.unchecked));
}
