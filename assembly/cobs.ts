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

/** Longest distance from a code to the next one: a word more still fits. */
const LONGEST_RUN: u32 = 254 - 4;

/**
 * Encodes n bytes at `from` into a ring of mask + 1 bytes at `ring`, from its counter `head` on, without the delimiter; returns
 * the counter behind the last byte. Writes at most n + 1 + n / 254 bytes. Words that come to lie on words of the ring are
 * copied as such, and only their zeros looked at: `head` is best one behind `from` in their places within a word.
 */
export function encode(from: usize, n: u32, ring: usize, mask: u32, head: u32): u32 {
  const end = from + usize(n);
  let code_at = head++;
  while (from < end) {
    if (((from | usize(head)) & 3) == 0) {
      for (let words = (end - from) >> 2; words && head - code_at <= LONGEST_RUN; words--) {
        const word = load<u32>(from);
        store<u32>(ring + usize(head & mask), word);
        // The high bit of every byte that is zero.
        let zeros = ~(((word & 0x7f7f7f7f) + 0x7f7f7f7f) | word | 0x7f7f7f7f);
        for (let zero_at = head; zeros; zeros >>= 8, zero_at++) {
          if (!(zeros & 0x80)) continue;
          store<u8>(ring + usize(code_at & mask), u8(zero_at - code_at));
          code_at = zero_at;
        }
        head += 4;
        from += 4;
      }
      if (from == end) break;
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
