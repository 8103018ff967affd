/** Checksums of the link and of the rig image, as named in the catalogue of parametrised CRC algorithms (G. Cook). */

/** CRC-32/ISO-HDLC by nibbles: reflected polynomial 0xedb88320. */
const TABLE_32: usize = memory.data<u32>([
  0x00000000, 0x1db71064, 0x3b6e20c8, 0x26d930ac, 0x76dc4190, 0x6b6b51f4, 0x4db26158, 0x5005713c, 0xedb88320,
  0xf00f9344, 0xd6d6a3e8, 0xcb61b38c, 0x9b64c2b0, 0x86d3d2d4, 0xa00ae278, 0xbdbdf21c,
]);

/**
 * CRC-16/IBM-3740 (initial value 0xffff, not reflected, no final xor) of n bytes, in words where they are aligned.
 *
 * x^128 = x^96 + x^40 + 1 modulo P = x^16 + x^12 + x^5 + 1 (x^16 = x^12 + x^5 + 1, squared three times: squaring doubles exponents).
 * So a word of the message may be taken away if it is added 32, 88 and 128 bits later: 4, 11 and 16 bytes, whatever the order of
 * bytes in a word. A word that has come to be t passes t on to the next and to the fourth, and to the bytes that lie
 * across the second and the third. What is left of it all stands in the last words, which crcWord ends.
 */
export function crc16(from: usize, n: u32): u32 {
  let crc: u32 = 0xffff;
  const end = from + usize(n);
  while (from < end && from & 3) crc = crcByte(crc, load<u8>(from++));
  let words = (end - from) >> 2;
  // The last four words that were taken away, the latest first; what came before the first stands for the fourth.
  let t1: u32 = 0,
    t2: u32 = 0,
    t3: u32 = 0,
    t4 = ((crc & 0xff) << 8) | (crc >> 8);
  for (; words >= 8; words -= 4) {
    t4 ^= load<u32>(from) ^ t1 ^ (t2 << 24) ^ (t3 >> 8);
    t3 ^= load<u32>(from, 4) ^ t4 ^ (t1 << 24) ^ (t2 >> 8);
    t2 ^= load<u32>(from, 8) ^ t3 ^ (t4 << 24) ^ (t1 >> 8);
    t1 ^= load<u32>(from, 12) ^ t2 ^ (t3 << 24) ^ (t4 >> 8);
    from += 16;
  }
  if (words) crc = 0;
  for (; words; words--) {
    crc = crcWord(crc, bswap<u32>(load<u32>(from) ^ t4 ^ t1 ^ (t2 << 24) ^ (t3 >> 8)));
    t4 = t3;
    t3 = t2;
    t2 = t1;
    t1 = 0;
    from += 4;
  }
  while (from < end) crc = crcByte(crc, load<u8>(from++));
  return crc;
}

/**
 * The remainder of t·x^16 by P is q·(x^12 + x^5 + 1) cut to 16 bits, with the quotient q = t / (1 + y^4 + y^11 + y^16), y a shift
 * right by one: a sum of shifted t, since in it 1 / (1 + p) = (1 + p)(1 + p²)(1 + p⁴)…
 */
// @ts-ignore: decorator
@inline function crcWord(crc: u32, word: u32): u32 {
  const t = (crc << 16) ^ word;
  const a = t ^ (t >> 4) ^ (t >> 11) ^ (t >> 16);
  const b = a ^ (a >> 8) ^ (a >> 22);
  const q = b ^ (b >> 16);
  return (q ^ (q << 5) ^ (q << 12)) & 0xffff;
}

/** The same for 8 bits: there the quotient is t + t·y^4. */
// @ts-ignore: decorator
@inline function crcByte(crc: u32, byte: u8): u32 {
  const t = (crc >> 8) ^ u32(byte);
  const q = t ^ (t >> 4);
  return ((crc << 8) ^ q ^ (q << 5) ^ (q << 12)) & 0xffff;
}

/** CRC-32/ISO-HDLC (reflected, initial value and final xor 0xffffffff) of n bytes. */
export function crc32(from: usize, n: u32): u32 {
  return crc32On(0, from, n);
}

/** The same of bytes that go on from others, which have `before`; 0: from none. */
export function crc32On(before: u32, from: usize, n: u32): u32 {
  let crc = ~before;
  for (let i: u32 = 0; i < n; i++) {
    crc ^= load<u8>(from + usize(i));
    crc = (crc >> 4) ^ load<u32>(TABLE_32 + (usize(crc & 15) << 2));
    crc = (crc >> 4) ^ load<u32>(TABLE_32 + (usize(crc & 15) << 2));
  }
  return ~crc;
}
