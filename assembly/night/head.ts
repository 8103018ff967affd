/** Page 0 of a half, and what stands on the pages behind it (DEVELOPERS.md has the tables). */
import { crc32 } from '../crc';
import { halfPages } from './pages';
import { NIGHT_MAGIC, NIGHT_VERSION, PLAN_PAGES, SHOWS } from './plan';

/** Page 0 of a half. Programmed last: a half without a valid one is no night. */
@unmanaged
export class Head {
  magic: u32;
  version: u16;
  shows: u16;
  /** All, this one included. */
  pages: u32;
  fingerprint: u32;
  /** The newer one counts; it wraps. */
  sequence: u32;
  /** CRC-32 of plan and entries: pages PLAN_PAGE on, plan_pages of them. */
  plan_crc: u32;
  plan_pages: u16;
  reserved: u16;
  /** CRC-32 of all before it. */
  crc: u32;
}
export const HEAD_BYTES: usize = offsetof<Head>();
export const HEAD_CRC_OF: u32 = u32(offsetof<Head>('crc'));
/** Pages of a half: which shows are removed, the plan, the entries. */
export const REMOVED_PAGE: u32 = 1;
export const PLAN_PAGE: u32 = 2;

/** Whether a head is one, and its pages fit in a half. */
export function isHead(at: usize): bool {
  const head = changetype<Head>(at);
  if (head.magic != NIGHT_MAGIC || head.version != NIGHT_VERSION || head.crc != crc32(at, HEAD_CRC_OF)) return false;
  const shows = u32(head.shows);
  if (shows > SHOWS || u32(head.plan_pages) != PLAN_PAGES + ((shows + 1) >> 1)) return false;
  return head.pages >= PLAN_PAGE + u32(head.plan_pages) && head.pages <= halfPages();
}
