/**
 * NIGHT.pwshow, page by page as it stands in the flash: the head, the marks of removed shows, the plan, the entries, then each show's
 * data. Little-endian. DEVELOPERS.md has the table.
 */
import crc32 from 'crc/calculators/crc32';
import {
  ENTRY,
  ENTRY_BYTES,
  ENTRY_NAME_AT,
  HEAD_BYTES,
  MAGIC,
  NAME_BYTES,
  PAGE_BYTES,
  PLAN_PAGES,
  SHOWS,
  VERSION,
} from './layout.ts';
import type { Cues } from './plan.ts';

/** Where the fields of the head stand. */
const HEAD = {
  magic: 0,
  version: 4,
  shows: 6,
  pages: 8,
  fingerprint: 12,
  sequence: 16,
  plan_crc: 20,
  plan_pages: 24,
  crc: 28,
} as const;
const PLAN_AT = 2;

export interface PackedShow extends Cues {
  /** At most 32 bytes of UTF-8. */
  readonly name: string;
  readonly data: Uint8Array;
  readonly frames: number;
  /** Places of its values in a frame. */
  readonly places: readonly number[];
  /** In 1/32 of what a servo may bear. */
  readonly warmest: number;
}

export interface NightFile {
  readonly fingerprint: number;
  readonly plan: Uint8Array;
  readonly shows: readonly PackedShow[];
}

const crcOf = (bytes: Uint8Array): number => crc32(bytes) >>> 0;
const pagesFor = (bytes: number): number => Math.ceil(bytes / PAGE_BYTES);
/** Pages of the plan and the entries. */
const planPages = (shows: number): number => PLAN_PAGES + pagesFor(shows * ENTRY_BYTES);

/** Bytes of a night of these shows. */
export const nightBytes = (shows: readonly Pick<PackedShow, 'data'>[]): number =>
  shows.reduce((pages, { data }) => pages + pagesFor(data.length), PLAN_AT + planPages(shows.length)) * PAGE_BYTES;

/** The whole file; at most 32 shows. */
export function writeNight({ fingerprint, plan, shows }: NightFile): Uint8Array<ArrayBuffer> {
  const night = new Uint8Array(nightBytes(shows)).fill(0xff);
  const view = new DataView(night.buffer);
  const pages = planPages(shows.length);
  night.set(plan, PLAN_AT * PAGE_BYTES);
  let page = PLAN_AT + pages;
  shows.forEach((show, i) => {
    const at = (PLAN_AT + PLAN_PAGES) * PAGE_BYTES + i * ENTRY_BYTES;
    putEntry(new DataView(night.buffer, at, ENTRY_BYTES), show, page);
    night.set(show.data, page * PAGE_BYTES);
    page += pagesFor(show.data.length);
  });
  view.setUint32(HEAD.magic, MAGIC, true);
  view.setUint16(HEAD.version, VERSION, true);
  view.setUint16(HEAD.shows, shows.length, true);
  view.setUint32(HEAD.pages, page, true);
  view.setUint32(HEAD.fingerprint, fingerprint, true);
  view.setUint32(HEAD.sequence, 0, true);
  const covered = night.subarray(PLAN_AT * PAGE_BYTES, (PLAN_AT + pages) * PAGE_BYTES);
  view.setUint32(HEAD.plan_crc, crcOf(covered), true);
  view.setUint32(HEAD.plan_pages, pages, true);
  view.setUint32(HEAD.crc, crcOf(night.subarray(0, HEAD.crc)), true);
  return night;
}

function putEntry(view: DataView, show: PackedShow, page: number): void {
  const bytes = new Uint8Array(view.buffer, view.byteOffset, ENTRY_BYTES).fill(0);
  view.setUint32(ENTRY.page, page, true);
  view.setUint32(ENTRY.bytes, show.data.length, true);
  view.setUint32(ENTRY.crc, crcOf(show.data), true);
  view.setUint32(ENTRY.frames, show.frames, true);
  view.setUint32(ENTRY.values, show.places.reduce((mask, place) => mask | (1 << place), 0) >>> 0, true);
  bytes.set([show.start, show.start_flags, show.sound], ENTRY.start);
  view.setUint16(ENTRY.sound_ms, show.sound_ms, true);
  view.setInt32(ENTRY.sound_at_ms, show.sound_at_ms, true);
  view.setUint8(ENTRY.warmest, show.warmest);
  bytes.set(new TextEncoder().encode(show.name).subarray(0, NAME_BYTES), ENTRY_NAME_AT);
}

const NO_NIGHT = 'this is no night of shows: "posewright shows pack" makes one';

/** What a file holds, or what is wrong with it, in words. */
export function readNight(night: Uint8Array): NightFile | string {
  if (night.length < HEAD_BYTES) return NO_NIGHT;
  const view = new DataView(night.buffer, night.byteOffset, night.length);
  if (view.getUint32(HEAD.magic, true) !== MAGIC) return NO_NIGHT;
  const version = view.getUint16(HEAD.version, true);
  if (version !== VERSION)
    return `this is a night of version ${String(version)}, and this program knows version ${String(VERSION)}: pack it anew`;
  const damaged = 'this file is damaged: pack it anew';
  if (view.getUint32(HEAD.crc, true) !== crcOf(night.subarray(0, HEAD.crc))) return damaged;
  const [count, pages] = [view.getUint16(HEAD.shows, true), view.getUint16(HEAD.plan_pages, true)];
  if (count > SHOWS || pages !== planPages(count)) return damaged;
  if (night.length !== view.getUint32(HEAD.pages, true) * PAGE_BYTES) return damaged;
  const covered = night.subarray(PLAN_AT * PAGE_BYTES, (PLAN_AT + pages) * PAGE_BYTES);
  if (view.getUint32(HEAD.plan_crc, true) !== crcOf(covered)) return damaged;
  const shows = Array.from({ length: count }, (_, i) =>
    entryOf(night, covered.subarray(PLAN_PAGES * PAGE_BYTES + i * ENTRY_BYTES)),
  );
  if (shows.includes(null)) return damaged;
  return {
    fingerprint: view.getUint32(HEAD.fingerprint, true),
    plan: covered.subarray(0, PLAN_PAGES * PAGE_BYTES),
    shows: shows.filter((show) => show !== null),
  };
}

/** Null: its data, or what fills its last page, is not what it was. */
function entryOf(night: Uint8Array, bytes: Uint8Array): PackedShow | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, ENTRY_BYTES);
  const at = view.getUint32(ENTRY.page, true) * PAGE_BYTES;
  const data = night.subarray(at, at + view.getUint32(ENTRY.bytes, true));
  if (data.length !== view.getUint32(ENTRY.bytes, true) || crcOf(data) !== view.getUint32(ENTRY.crc, true)) return null;
  const rest = night.subarray(at + data.length, at + pagesFor(data.length) * PAGE_BYTES);
  if (rest.some((byte) => byte !== 0xff)) return null;
  const values = view.getUint32(ENTRY.values, true);
  const name = new TextDecoder().decode(bytes.subarray(ENTRY_NAME_AT, ENTRY_BYTES));
  return {
    name: name.replace(/\0+$/, ''),
    data,
    frames: view.getUint32(ENTRY.frames, true),
    places: Array.from({ length: 22 }, (_, k) => k).filter((k) => (values >> k) & 1),
    warmest: view.getUint8(ENTRY.warmest),
    start: view.getUint8(ENTRY.start),
    start_flags: view.getUint8(ENTRY.start_flags),
    sound: view.getUint8(ENTRY.sound),
    sound_ms: view.getUint16(ENTRY.sound_ms, true),
    sound_at_ms: view.getInt32(ENTRY.sound_at_ms, true),
  };
}
