/**
 * Whether the shows' bytes are still what they were: read in the background, a page a tick, while the prop is limp and nobody writes.
 */
import { PAGE_BYTES, outputs } from '../layout';
import { crc32On } from '../crc';
import { State } from '../states';
import { archiveOpen, dataPage, entryAt, halfPage, isRemoved, nightsOpened, pagesInForce, showCount } from './archive';
import { liesStill, pageAt, pagesClaimed } from './pages';
import { Entry, SHOWS } from './plan';


@unmanaged
class Checking {
  /** Which of the nights that came into force. */
  night: u32;
  /** One bit a show. */
  damaged: u32;
  checked: u32;
  /** The show being checked, and where it is: its next page, 0: not begun; bytes left; the CRC so far, and as it should be. */
  show: u32;
  page: u32;
  left: u32;
  crc: u32;
  want: u32;
}
const CHECKING: usize = memory.data(i32(offsetof<Checking>()));
// @ts-ignore: decorator
@inline function checking(): Checking {
  return changetype<Checking>(CHECKING);
}

export function startChecking(): void {
  memory.fill(CHECKING, 0, offsetof<Checking>());
}

/** One tick of it, behind the archive's: with another night it begins anew. */
export function tendChecking(): void {
  const c = checking();
  if (c.night != nightsOpened()) {
    startChecking();
    c.night = nightsOpened();
  }
  if (archiveOpen() && outputs().state == State.limp && liesStill() && !pagesClaimed()) check(c);
}

/** The next page of the show being checked. */
function check(c: Checking): void {
  if (c.show >= showCount()) return;
  if (!c.page) {
    if (isRemoved(c.show)) checkedAs(c, true);
    else beginCheck(c);
    return;
  }
  const at = pageAt(halfPage() + c.page);
  if (!at) return;
  const n = c.left < PAGE_BYTES ? c.left : PAGE_BYTES;
  c.crc = crc32On(c.crc, at, n);
  c.left -= n;
  c.page += 1;
  if (!c.left) checkedAs(c, c.crc == c.want);
}

function beginCheck(c: Checking): void {
  const at = entryAt(c.show);
  if (!at) return;
  const e = changetype<Entry>(at);
  // Pages before bytes: the sum of the two may wrap.
  if (!e.bytes || e.page < dataPage() || e.page >= pagesInForce() || e.bytes > (pagesInForce() - e.page) * PAGE_BYTES) {
    checkedAs(c, false);
    return;
  }
  c.page = e.page;
  c.left = e.bytes;
  c.want = e.crc;
  c.crc = 0;
}

function checkedAs(c: Checking, whole: bool): void {
  const bit = u32(1) << c.show;
  if (!whole) c.damaged |= bit;
  c.checked |= bit;
  c.show += 1;
  c.page = 0;
}

// @ts-ignore: decorator
@inline function bitOf(mask: u32, k: u32): bool {
  return k < SHOWS && (mask & (u32(1) << k)) != 0;
}

/** Its bytes are not what they were. Known once it is checked, which takes a tick a page of all shows before it. */
export function isDamaged(k: u32): bool {
  return bitOf(checking().damaged, k);
}

export function isChecked(k: u32): bool {
  return bitOf(checking().checked, k);
}
