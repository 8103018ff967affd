/**
 * Consistent overhead byte stuffing, host side (S. Cheshire, M. Baker, IEEE/ACM Trans. Networking 7(2), 1999), without the zero
 * that ends a frame. Written out because a library's growing arrays of numbers took a fifth of a replay's time, and need
 * Node's Buffer; the tests hold it against that library.
 */

/** Stuffs the first n bytes of `raw` into `out`, which has room for n + 1 + n/254. Returns how many came of it. */
export function stuff(raw: Uint8Array, n: number, out: Uint8Array): number {
  let code = 0;
  let to = 1;
  for (let i = 0; i < n; i++) {
    const byte = raw[i]!;
    if (byte !== 0) out[to++] = byte;
    if (byte === 0 || to - code === 255) {
      out[code] = to - code;
      code = to++;
    }
  }
  out[code] = to - code;
  return to;
}

/**
 * Inverse of stuff for the bytes from `from` to before `end`. Returns how many came of them; -1: a block reaches past the end, or
 * there is a zero in a length's place. All are copied at once and the zeros put in afterwards: blocks are so short that a loop over
 * each costs three times as much.
 */
export function unstuff(wire: Uint8Array, from: number, end: number, out: Uint8Array): number {
  if (from >= end) return 0;
  let n = end - from - 1;
  out.set(wire.subarray(from + 1, end));
  // A length at `at` in the wire belongs at `at - ahead` in `out`.
  let ahead = from + 1;
  let at = from;
  for (;;) {
    const length = wire[at]!;
    at += length;
    if (at >= end) return at === end && length > 0 ? n : -1;
    if (length === 0) return -1;
    if (length < 255) out[at - ahead] = 0;
    else {
      // No zero stands behind a full block.
      out.copyWithin(at - ahead, at - ahead + 1, n);
      ahead++;
      n--;
    }
  }
}
