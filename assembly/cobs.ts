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

/**
 * Encodes n bytes at `from` into a ring of mask + 1 bytes at `ring`, from its counter `head` on, without the delimiter; returns
 * the counter behind the last byte. Writes at most n + 1 + n / 254 bytes.
 */
export function encode(from: usize, n: u32, ring: usize, mask: u32, head: u32): u32 {
  let code_at = head++;
  let code: u32 = 1;
  for (let i: u32 = 0; i < n; i++) {
    const byte = load<u8>(from + usize(i));
    if (byte != 0) {
      store<u8>(ring + usize(head++ & mask), byte);
      code++;
    }
    if (byte == 0 || (code == 0xff && i + 1 < n)) {
      store<u8>(ring + usize(code_at & mask), u8(code));
      code_at = head++;
      code = 1;
    }
  }
  store<u8>(ring + usize(code_at & mask), u8(code));
  return head;
}
