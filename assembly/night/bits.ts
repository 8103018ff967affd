/**
 * A show's data as one string of bits, most significant first, out of pages that come as they are read. Two pages stand in a window,
 * so that a frame never waits in its middle. Knows nothing of what the bits mean.
 */
import { PAGE_BYTES } from '../layout';
import { pageAt } from './pages';

const WINDOW_MASK: u32 = 2 * PAGE_BYTES - 1;
const WINDOW: usize = memory.data(i32(2 * PAGE_BYTES), 4);

/** Ones after which a code says its 16 bits outright. */
const ESCAPE: u32 = 16;


@unmanaged
class Bits {
  /** Bits in hand, from the top, and how many. */
  hold: u32;
  have: u32;
  /** Number of the byte that comes into hand next. */
  next: u32;
  /** First page of the data, pages of it, and how many have come into the window. */
  first: u32;
  pages: u32;
  come: u32;
}
const BITS: usize = memory.data(i32(offsetof<Bits>()));
// @ts-ignore: decorator
@inline function bits(): Bits {
  return changetype<Bits>(BITS);
}

/** From the first bit of the data at page `page`, `bytes` long. */
export function openBits(page: u32, bytes: u32): void {
  memory.fill(WINDOW, 0, 2 * PAGE_BYTES);
  memory.fill(BITS, 0, offsetof<Bits>());
  const b = bits();
  b.first = page;
  b.pages = (bytes >> 8) + u32((bytes & (PAGE_BYTES - 1)) != 0);
}

/** Whether the next 256 bytes, or all that is left, are in the window; else the page that is missing has been asked for. */
export function bitsReady(): bool {
  const b = bits();
  while (b.come < b.pages && (b.come < 2 || b.next >= (b.come - 1) << 8)) {
    const from = pageAt(b.first + b.come);
    if (!from) break;
    memory.copy(WINDOW + usize((b.come & 1) << 8), from, PAGE_BYTES);
    b.come += 1;
  }
  return b.come == b.pages || b.next + PAGE_BYTES <= b.come << 8;
}

/** Bytes that are taken, one that is begun included. */
export function bytesTaken(): u32 {
  return bits().next - (bits().have >> 3);
}

/** At least 25 bits come into hand. */
// @ts-ignore: decorator
@inline function fill(): void {
  const b = bits();
  let hold = b.hold;
  let have = b.have;
  let next = b.next;
  while (have <= 24) {
    hold |= u32(load<u8>(WINDOW + usize(next & WINDOW_MASK))) << (24 - have);
    next++;
    have += 8;
  }
  b.hold = hold;
  b.have = have;
  b.next = next;
}

/** The next n bits, n <= 24. */
// @ts-ignore: decorator
@inline export function takeBits(n: u32): u32 {
  if (bits().have < n) fill();
  const b = bits();
  const hold = b.hold;
  b.hold = hold << n;
  b.have -= n;
  return (hold >> 1) >> (31 - n);
}

/** What is left of a byte that is begun is passed over. */
export function toByte(): void {
  const b = bits();
  b.hold <<= b.have & 7;
  b.have &= ~7;
}

/** A Rice code with k <= 14 low bits: q ones, a zero, the low bits; after 16 ones the 16 bits themselves. Zigzag of what is meant. */
export function takeRice(k: u32): i32 {
  const b = bits();
  if (b.have <= ESCAPE) fill();
  let hold = b.hold;
  let q: u32 = 0;
  while (q < ESCAPE && i32(hold) < 0) {
    hold <<= 1;
    q++;
  }
  let zigzag: u32;
  if (q == ESCAPE) {
    b.hold = hold;
    b.have -= q;
    zigzag = takeBits(16);
  } else {
    b.hold = hold << 1;
    b.have -= q + 1;
    zigzag = (q << k) | takeBits(k);
  }
  return i32(zigzag >> 1) ^ -i32(zigzag & 1);
}
