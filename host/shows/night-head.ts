/** What a night file says of itself, before it is sent: its head and its shows' names. What is in its shows is another's business. */
import crc32 from 'crc/calculators/crc32';

const PAGE_BYTES = 256;
const MAGIC = 0x314e5750;
const VERSION = 1;
const SHOWS_MOST = 32;
const PLAN_PAGE = 2;
const PLAN_PAGES = 4;
const HEAD_BYTES = 32;
const ENTRY_BYTES = 128;
const NAME_AT = 96;

export interface NightHead {
  readonly pages: number;
  /** Of the rig that it is for. */
  readonly fingerprint: number;
  /** Of its shows, in their order. */
  readonly names: readonly string[];
}

/** The head of a night file's bytes, or why it is none, in words. */
export function readNightHead(night: Uint8Array): NightHead | string {
  const view = new DataView(night.buffer, night.byteOffset, night.byteLength);
  if (night.length < HEAD_BYTES || view.getUint32(0, true) !== MAGIC) return 'this is no night of shows';
  if (view.getUint16(4, true) !== VERSION)
    return `this night has version ${String(view.getUint16(4, true))}, this program sends version ${String(VERSION)}: pack it again`;
  const [shows, pages, planPages] = [view.getUint16(6, true), view.getUint32(8, true), view.getUint16(24, true)];
  const torn = 'this night is not whole: pack it again';
  if (view.getUint32(28, true) !== crc32(night.subarray(0, 28)) >>> 0) return torn;
  if (shows > SHOWS_MOST || planPages !== PLAN_PAGES + Math.ceil(shows / 2)) return torn;
  if (night.length !== pages * PAGE_BYTES || pages < PLAN_PAGE + planPages) return torn;
  const plan = night.subarray(PLAN_PAGE * PAGE_BYTES, (PLAN_PAGE + planPages) * PAGE_BYTES);
  if (view.getUint32(20, true) !== crc32(plan) >>> 0) return torn;
  const names: string[] = [];
  for (let k = 0; k < shows; k++) {
    const entry = k * ENTRY_BYTES + PLAN_PAGES * PAGE_BYTES;
    const name = plan.subarray(entry + NAME_AT, entry + ENTRY_BYTES);
    const end = name.indexOf(0);
    names.push(new TextDecoder().decode(end < 0 ? name : name.subarray(0, end)));
  }
  return { pages, fingerprint: view.getUint32(12, true), names };
}
