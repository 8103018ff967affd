/**
 * The night in force: of the two halves the newest whose plan is whole. Reads its plan into PLAN and says which shows are removed. It
 * plays nothing and writes nothing.
 */
import { OUTPUTS, OUTPUT_PINS_AT, PAGE_BYTES, image, outputs } from '../layout';
import { crc32On } from '../crc';
import { HEAD_BYTES, Head, PLAN_PAGE, REMOVED_PAGE, isHead } from './head';
import { halfPages, pageAt } from './pages';
import { ENTRY, ENTRY_BYTES, NO_PIN, PLAN, PLAN_IN_PINS_AT, PLAN_PAGES, SHOWS } from './plan';

const ENTRIES_PAGE: u32 = PLAN_PAGE + PLAN_PAGES;
/** Bytes of the plan's pins: inputs, outputs, analog. */
const PIN_BYTES: usize = 16;
const NO_HALF: u32 = 2;

/** How far the archive has come. */
const enum Stage {
  /** There is no night in force. */
  none = 0,
  heads = 1,
  removed = 2,
  plan = 3,
  open = 4,
}

/** Why there is no night in force. */
export const enum Missing {
  nothing = 0,
  night = 1,
  rig = 2,
}


@unmanaged
class Archive {
  stage: Stage;
  missing: Missing;
  /** The half being read or in force, and of how many the heads have been read. */
  half: u32;
  read: u32;
  /** Halves whose head is valid, and whose plan is not found torn: one bit each. */
  valid: u32;
  page: u32;
  crc: u32;
  /** One bit a show. */
  removed: u32;
  /** Counts nights that came into force. */
  opened: u32;
  /** Outputs.image_count of the rig that it was read for. */
  images: u32;
}
const ARCHIVE: usize = memory.data(i32(offsetof<Archive>()));
const HEADS: usize = memory.data(2 * i32(offsetof<Head>()));
// @ts-ignore: decorator
@inline function archive(): Archive {
  return changetype<Archive>(ARCHIVE);
}
// @ts-ignore: decorator
@inline function headOf(half: u32): Head {
  return changetype<Head>(HEADS + usize(half & 1) * HEAD_BYTES);
}

/** After startPages. */
export function startArchive(): void {
  memory.fill(ARCHIVE, 0, offsetof<Archive>());
  openArchive();
}

/** Reads the halves anew: a night was stored, or another rig is in force. */
export function openArchive(): void {
  const a = archive();
  a.stage = halfPages() ? Stage.heads : Stage.none;
  a.missing = Missing.night;
  a.half = NO_HALF;
  a.read = 0;
  a.valid = 0;
  a.images = outputs().image_count;
  memory.fill(OUTPUTS + OUTPUT_PINS_AT, NO_PIN, PIN_BYTES);
}

/** One tick of it. */
export function tendArchive(): void {
  const a = archive();
  if (a.images != outputs().image_count) openArchive();
  switch (a.stage) {
    case Stage.heads:
      readHead(a);
      break;
    case Stage.removed:
      readRemoved(a);
      break;
    case Stage.plan:
      readPlan(a);
      break;
    default:
      break;
  }
}

/** Fingerprint of the rig in force; 0: none. */
export function rigInForce(): u32 {
  return image().joint_count ? image().fingerprint : 0;
}

function readHead(a: Archive): void {
  const at = pageAt(a.read * halfPages());
  if (!at) return;
  memory.copy(HEADS + usize(a.read) * HEAD_BYTES, at, HEAD_BYTES);
  if (isHead(at)) a.valid |= u32(1) << a.read;
  a.read += 1;
  if (a.read == 2) choose(a);
}

/** The newer of the valid halves; if it is for this rig, it is read. */
function choose(a: Archive): void {
  a.stage = Stage.none;
  a.half = NO_HALF;
  if (!a.valid) return;
  const newer: u32 = i32(headOf(1).sequence - headOf(0).sequence) > 0 ? 1 : 0;
  a.half = a.valid == 3 ? newer : a.valid - 1;
  if (headOf(a.half).fingerprint != rigInForce()) {
    a.missing = Missing.rig;
    return;
  }
  a.stage = Stage.removed;
}

function readRemoved(a: Archive): void {
  const at = pageAt(halfPage() + REMOVED_PAGE);
  if (!at) return;
  a.removed = 0;
  // A word whose clearing was cut short counts as cleared.
  for (let k: u32 = 0; k < SHOWS; k++) if (load<u32>(at + usize(k << 2)) != 0xffffffff) a.removed |= u32(1) << k;
  a.page = 0;
  a.crc = 0;
  a.stage = Stage.plan;
}

function readPlan(a: Archive): void {
  const at = pageAt(halfPage() + PLAN_PAGE + a.page);
  if (!at) return;
  a.crc = crc32On(a.crc, at, PAGE_BYTES);
  if (a.page < PLAN_PAGES) memory.copy(PLAN + usize(a.page * PAGE_BYTES), at, usize(PAGE_BYTES));
  a.page += 1;
  const head = headOf(a.half);
  if (a.page < u32(head.plan_pages)) return;
  if (a.crc != head.plan_crc) {
    // The other one, then, if it is whole.
    a.valid &= ~(u32(1) << a.half);
    choose(a);
    return;
  }
  a.stage = Stage.open;
  a.missing = Missing.nothing;
  a.opened += 1;
  tellPins();
}

/** The plan's pins for the board, but for what the rig has for itself: its stop loop and its power. */
function tellPins(): void {
  const rig = image();
  for (let i: usize = 0; i < PIN_BYTES; i++) {
    const pin = load<u8>(PLAN + PLAN_IN_PINS_AT + i);
    store<u8>(OUTPUTS + OUTPUT_PINS_AT + i, pin == rig.stop_pin || pin == rig.power_pin ? NO_PIN : pin);
  }
}

/** Whether the halves are still being read: what they hold is not known yet. */
export function archiveBusy(): bool {
  const stage = archive().stage;
  return stage != Stage.none && stage != Stage.open;
}

/** Whether a night is in force: PLAN is its plan. */
export function archiveOpen(): bool {
  return archive().stage == Stage.open;
}

/** Why none is. */
export function archiveMissing(): Missing {
  return archive().missing;
}

/** Another number whenever a night has come into force. */
export function nightsOpened(): u32 {
  return archive().opened;
}

/** The half that a new night must leave alone: that of the newest valid one, for this rig or another; 2: there is none. */
export function newestHalf(): u32 {
  return archive().half;
}

/** Sequence of the newest night, for this rig or another; 0: there is none. */
export function newestSequence(): u32 {
  return archive().half < NO_HALF ? headOf(archive().half).sequence : 0;
}

/** First page of the half in force. Pages of a night count from it. */
export function halfPage(): u32 {
  return archive().half == 1 ? halfPages() : 0;
}

/** Shows of the night in force, removed ones too. */
export function showCount(): u32 {
  return archiveOpen() ? u32(headOf(archive().half).shows) : 0;
}

/** Pages of the night in force, all; and the first of them that holds a show's data. */
export function pagesInForce(): u32 {
  return headOf(archive().half).pages;
}
export function dataPage(): u32 {
  return PLAN_PAGE + u32(headOf(archive().half).plan_pages);
}

export function isRemoved(k: u32): bool {
  return k < SHOWS && (archive().removed & (u32(1) << k)) != 0;
}

/** Words of the page that says which shows are removed, with this one: at `to`. */
export function removedWith(k: u32, to: usize): void {
  memory.fill(to, 0xff, usize(PAGE_BYTES));
  for (let i: u32 = 0; i < SHOWS; i++) if (i == k || isRemoved(i)) store<u32>(to + usize(i << 2), 0);
}

/** It is removed, in flash too. */
export function setRemoved(k: u32): void {
  archive().removed |= u32(1) << k;
}

/** Where show k's entry stands, until this tick ends; 0 while it is not there: call again on the next tick. */
export function entryAt(k: u32): usize {
  const at = pageAt(halfPage() + ENTRIES_PAGE + (k >> 1));
  return at ? at + usize(k & 1) * ENTRY_BYTES : 0;
}

/** Brings show k's entry into ENTRY; false while it is not there: call again on the next tick. ENTRY is the player's alone. */
export function entryOf(k: u32): bool {
  const at = entryAt(k);
  if (at) memory.copy(ENTRY, at, ENTRY_BYTES);
  return at != 0;
}
