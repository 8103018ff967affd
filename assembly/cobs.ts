/**
 * Consistent overhead byte stuffing (S. Cheshire, M. Baker, IEEE/ACM Trans. Networking 7(2), 1999): frames without a zero
 * byte, so that a zero ends a frame. The decoder takes one byte at a time and survives anything.
 */

/** Decoder's state: where it writes, how much fits, how much is there. */
@unmanaged
export class Decoder {
  out: usize;
  capacity: u32;
  length: u32;
  /** Bytes left in the block; and whether a zero follows it, if another block does. */
  left: u32;
  zero: bool;
  /** The frame cannot be right: skip to its end. */
  broken: bool;
  started: bool;
}

/**
 * Takes bytes of a block as far as they go without a zero: n at most, from a ring of mask + 1 bytes at `ring`, from its counter
 * `tail` on. Returns how many; what comes next is for feed().
 */
export function feedBlock(d: Decoder, ring: usize, mask: u32, tail: u32, n: u32): u32 {
  let most = n < d.left ? n : d.left;
  if (most > d.capacity - d.length) most = d.capacity - d.length;
  if (d.broken) return 0;
  const to = d.out + usize(d.length);
  let i: u32 = 0;
  // Four at a time as long as none is zero and the ring goes straight on.
  const straight = mask + 1 - (tail & mask);
  const fours = (most < straight ? most : straight) & ~3;
  for (; i < fours; i += 4) {
    const from = ring + usize((tail & mask) + i);
    const a = load<u8>(from),
      b = load<u8>(from, 1),
      c = load<u8>(from, 2),
      e = load<u8>(from, 3);
    if (!a || !b || !c || !e) break;
    store<u8>(to + usize(i), a);
    store<u8>(to + usize(i), b, 1);
    store<u8>(to + usize(i), c, 2);
    store<u8>(to + usize(i), e, 3);
  }
  for (; i < most; i++) {
    const byte = load<u8>(ring + usize((tail + i) & mask));
    if (!byte) break;
    store<u8>(to + usize(i), byte);
  }
  d.length += i;
  d.left -= i;
  return i;
}

/** What a byte did. */
export const MORE: u32 = 0;
export const WHOLE: u32 = 1;
export const BROKEN: u32 = 2;
export const EMPTY: u32 = 3;

export function restart(d: Decoder): void {
  d.length = 0;
  d.left = 0;
  d.zero = false;
  d.broken = false;
  d.started = false;
}

// @ts-ignore: decorator
@inline function push(d: Decoder, byte: u8): void {
  if (d.length == d.capacity) d.broken = true;
  else {
    store<u8>(d.out + usize(d.length), byte);
    d.length += 1;
  }
}

/** Feeds one byte. WHOLE: a frame of d.length bytes stands at d.out until the next byte. The caller restarts after any end. */
export function feed(d: Decoder, byte: u8): u32 {
  if (byte == 0) {
    if (!d.started) return EMPTY;
    return d.broken || d.left > 0 ? BROKEN : WHOLE;
  }
  d.started = true;
  if (d.broken) return MORE;
  if (d.left > 0) {
    push(d, byte);
    d.left -= 1;
    return MORE;
  }
  if (d.zero) push(d, 0);
  d.left = u32(byte) - 1;
  d.zero = byte != 0xff;
  return MORE;
}

/** Longest distance from a code to the next one. */
const LONGEST_RUN: u32 = 254;
const LOW_BITS: u32 = 0x01010101;
const HIGH_BITS: u32 = 0x80808080;

/** Writes the codes of the zeros in a word that stands at the ring's counter `head`; returns where the last code belongs now. */
function codeZeros(word: u32, head: u32, ring: usize, mask: u32, code_at: u32): u32 {
  // The high bit of every byte that is zero.
  let zeros = ~(((word & ~HIGH_BITS) + ~HIGH_BITS) | word | ~HIGH_BITS);
  for (; zeros; zeros >>= 8, head++) {
    if (!(zeros & 0x80)) continue;
    store<u8>(ring + usize(code_at & mask), u8(head - code_at));
    code_at = head;
  }
  return code_at;
}

/**
 * Encodes n bytes at `from` into a ring of mask + 1 bytes at `ring`, from its counter `head` on, without the delimiter; returns
 * the counter behind the last byte. Writes at most n + 1 + n / 254 bytes. Words that come to lie on words of the ring are
 * copied as such, two at a time, and only their zeros looked at: `head` is best one behind `from` in their places within a word.
 */
export function encode(from: usize, n: u32, ring: usize, mask: u32, head: u32): u32 {
  const end = from + usize(n);
  let code_at = head++;
  while (from < end) {
    if (((from | usize(head)) & 3) == 0) {
      // As far as the ring goes straight on and the run fits in a code whatever the bytes are.
      let pairs = u32(end - from);
      const straight = mask + 1 - (head & mask);
      const run = LONGEST_RUN - (head - code_at);
      if (pairs > straight) pairs = straight;
      if (pairs > run) pairs = run;
      pairs >>= 3;
      if (pairs) {
        let to = ring + usize(head & mask);
        for (; pairs; pairs--) {
          const a = load<u32>(from),
            b = load<u32>(from, 4);
          store<u32>(to, a);
          store<u32>(to, b, 4);
          // Not 0 where, and only where, a byte is zero.
          if ((((a - LOW_BITS) & ~a) | ((b - LOW_BITS) & ~b)) & HIGH_BITS) {
            code_at = codeZeros(a, head, ring, mask, code_at);
            code_at = codeZeros(b, head + 4, ring, mask, code_at);
          }
          from += 8;
          to += 8;
          head += 8;
        }
        continue;
      }
    }
    const byte = load<u8>(from++);
    if (byte != 0) store<u8>(ring + usize(head++ & mask), byte);
    if (byte == 0 || (head - code_at == 0xff && from < end)) {
      store<u8>(ring + usize(code_at & mask), u8(head - code_at));
      code_at = head++;
    }
  }
  store<u8>(ring + usize(code_at & mask), u8(head - code_at));
  return head;
}
