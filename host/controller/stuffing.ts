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

/** Inverse of stuff for the bytes from `from` to before `end`. Returns how many came of them; -1: a block reaches past the end. */
export function unstuff(wire: Uint8Array, from: number, end: number, out: Uint8Array): number {
  let to = 0;
  for (let i = from; i < end;) {
    const next = i + wire[i]!;
    if (next > end) return -1;
    const full = wire[i] === 255;
    for (i++; i < next; i++) out[to++] = wire[i]!;
    if (!full && i < end) out[to++] = 0;
  }
  return to;
}
