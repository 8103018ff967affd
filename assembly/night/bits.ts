/**
 * A show's data as one string of bits, most significant first, out of pages that come as they are read. Two pages stand in a window,
 * so that a frame never waits in its middle. Knows nothing of what the bits mean.
 */
import { pageAt } from './pages';

const PAGE: u32 = 256;
const WINDOW_MASK: u32 = 2 * PAGE - 1;
const WINDOW: usize = memory.data(i32(2 * PAGE), 4);

/** Ones after which a code says its 16 bits outright. */
const ESCAPE: u32 = 16;

/** Bits in hand, from the top, and how many. */
let hold: u32 = 0;
let have: u32 = 0;
/** Number of the byte that comes into hand next. */
let next: u32 = 0;
/** First page of the data, pages of it, and how many have come into the window. */
let first: u32 = 0;
let pages: u32 = 0;
let come: u32 = 0;

/** From the first bit of the data at page `page`, `bytes` long. */
export function openBits(page: u32, bytes: u32): void {
  memory.fill(WINDOW, 0, 2 * PAGE);
  hold = have = next = come = 0;
  first = page;
  pages = (bytes >> 8) + u32((bytes & (PAGE - 1)) != 0);
}

/** Whether the next 256 bytes, or all that is left, are in the window; else the page that is missing has been asked for. */
export function bitsReady(): bool {
  while (come < pages && (come < 2 || next >= (come - 1) << 8)) {
    const from = pageAt(first + come);
    if (!from) break;
    memory.copy(WINDOW + usize((come & 1) << 8), from, PAGE);
    come++;
  }
  return come == pages || next + PAGE <= come << 8;
}

/** Bytes that are taken, one that is begun included. */
export function bytesTaken(): u32 {
  return next - (have >> 3);
}

/** At least 25 bits come into hand. */
// @ts-ignore: decorator
@inline function fill(): void {
  while (have <= 24) {
    hold |= u32(load<u8>(WINDOW + usize(next & WINDOW_MASK))) << (24 - have);
    next++;
    have += 8;
  }
}

/** The next n bits, n <= 24. */
// @ts-ignore: decorator
@inline export function takeBits(n: u32): u32 {
  if (have < n) fill();
  const bits = (hold >> 1) >> (31 - n);
  hold <<= n;
  have -= n;
  return bits;
}

/** What is left of a byte that is begun is passed over. */
export function toByte(): void {
  hold <<= have & 7;
  have &= ~7;
}

/** A Rice code with k <= 14 low bits: q ones, a zero, the low bits; after 16 ones the 16 bits themselves. Zigzag of what is meant. */
export function takeRice(k: u32): i32 {
  if (have <= ESCAPE) fill();
  let q: u32 = 0;
  while (q < ESCAPE && i32(hold) < 0) {
    hold <<= 1;
    q++;
  }
  have -= q;
  let zigzag: u32;
  if (q == ESCAPE) zigzag = takeBits(16);
  else {
    hold <<= 1;
    have--;
    zigzag = (q << k) | takeBits(k);
  }
  return i32(zigzag >> 1) ^ -i32(zigzag & 1);
}
