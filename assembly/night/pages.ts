/**
 * Flash by the page, one thing at a time: what is asked for in one tick the board has done before the next. Two halves for nights, and
 * behind them the record's two sectors. What stands on the pages is others' business.
 *
 * Reading: anyone calls pageAt on every tick until it answers; what it answers holds until the end of that tick. Two who ask by turns
 * both come on. Writing: claimPages, until it says yes; then PAGE_OUT and pageState are yours until releasePages. A claim is kept for a
 * page or a sector, not for a night: the other writer waits. Nothing is written unless the prop is limp, or tripped, without pulses.
 */
import { PAGE_CAME, PAGE_DONE, PAGE_ERASE, PAGE_IN, PAGE_PROGRAM, PAGE_READ, inputs, outputs } from '../layout';
import { State } from '../states';

/** Sectors of the record. */
const LOG_SECTORS: u32 = 2;

/** How the last writing went that was asked for under the present claim. */
export const enum PageState {
  idle = 0,
  busy = 1,
  done = 2,
  failed = 3,
}

/** Who may claim. */
export const enum Owner {
  none = 0,
  receiving = 1,
  log = 2,
}


@unmanaged
class Pages {
  /** What is asked for in this tick, 0: nothing; and of which page. */
  op: u32;
  page: u32;
  /** The page at PAGE_IN, and the one to be read next, both + 1; 0: none. */
  held: u32;
  wanted: u32;
  /** Pages of a half. */
  half: u32;
  state: PageState;
  owner: Owner;
}
const PAGES: usize = memory.data(i32(offsetof<Pages>()));
// @ts-ignore: decorator
@inline function pages(): Pages {
  return changetype<Pages>(PAGES);
}

export function startPages(): void {
  memory.fill(PAGES, 0, offsetof<Pages>());
  outputs().page_op = 0;
  inputs().page_news = 0;
  const sector = u32(inputs().sector_pages);
  if (!sector) return;
  const sectors = u32(inputs().store_pages) / sector;
  if (sectors >= LOG_SECTORS + 2) pages().half = ((sectors - LOG_SECTORS) >> 1) * sector;
}

/** Pages of a half; 0: the board has no room for nights. */
export function halfPages(): u32 {
  return pages().half;
}

/** First page of the record's two sectors. */
export function logPage(): u32 {
  return 2 * pages().half;
}

export function sectorPages(): u32 {
  return inputs().sector_pages;
}

/** At the beginning of a tick: what the board has done. */
export function takePage(): void {
  const news = u32(inputs().page_news);
  if (!news) return;
  const p = pages();
  inputs().page_news = 0;
  if (p.op == PAGE_READ) p.held = news == PAGE_CAME ? p.page + 1 : 0;
  else {
    p.held = 0;
    p.state = news == PAGE_DONE ? PageState.done : PageState.failed;
  }
  p.op = 0;
}

/** Whether flash may be written: nothing moves, and nothing is held. As of the last tick's end. */
export function liesStill(): bool {
  const state = u32(outputs().state);
  return (state == State.limp || state == State.tripped) && !outputs().power;
}

/** At the end of a tick, when state and power stand: hands the board what was asked for in it. */
export function askPage(): void {
  const p = pages();
  if (!p.op) return;
  if (p.op != PAGE_READ && !liesStill()) {
    p.state = PageState.failed;
    p.op = 0;
    return;
  }
  outputs().page_op = u8(p.op);
  outputs().page = u16(p.page);
}

/** Where page n stands, until this tick ends; 0 while it is not there, and then it is asked for: call again on the next tick. */
export function pageAt(n: u32): usize {
  const p = pages();
  if (p.held == n + 1) return PAGE_IN;
  if (p.op) {
    if (!p.wanted && !(p.op == PAGE_READ && p.page == n)) p.wanted = n + 1;
    return 0;
  }
  p.op = PAGE_READ;
  p.page = p.wanted ? p.wanted - 1 : n;
  p.wanted = p.page == n ? 0 : n + 1;
  return 0;
}

/** Whether PAGE_OUT and the next writing are this owner's. Call on every tick until they are. */
export function claimPages(owner: Owner): bool {
  const p = pages();
  if (p.owner != Owner.none && p.owner != owner) return false;
  if (p.owner == Owner.none) p.state = PageState.idle;
  p.owner = owner;
  return true;
}

export function releasePages(owner: Owner): void {
  if (pages().owner == owner) pages().owner = Owner.none;
}

/** Whether someone writes: what can wait then leaves the pages alone. */
export function pagesClaimed(): bool {
  return pages().owner != Owner.none;
}

/** Of the claim's owner: how its last writing went. */
export function pageState(): PageState {
  return pages().state;
}

/** Erases the sector that begins at a page; false while something else is under way: call again on the next tick. Takes up to seconds. */
export function eraseSectorAt(page: u32): bool {
  return write(PAGE_ERASE, page);
}

/** Programs a page from PAGE_OUT: bits that are 0 there become 0. False while something else is under way. */
export function program(page: u32): bool {
  return write(PAGE_PROGRAM, page);
}

function write(op: u32, page: u32): bool {
  const p = pages();
  if (p.op) return false;
  p.op = op;
  p.page = page;
  p.state = PageState.busy;
  return true;
}
