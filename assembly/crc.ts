/** Checksums of the link and of the rig image, as named in the catalogue of parametrised CRC algorithms (G. Cook). */

/** CRC-16/IBM-3740 of the high byte of the register: polynomial 0x1021. */
const TABLE_16: usize = memory.data<u16>([
  0x0000, 0x1021, 0x2042, 0x3063, 0x4084, 0x50a5, 0x60c6, 0x70e7, 0x8108, 0x9129, 0xa14a, 0xb16b, 0xc18c, 0xd1ad, 0xe1ce, 0xf1ef,
]);
/** CRC-32/ISO-HDLC by nibbles: reflected polynomial 0xedb88320. */
const TABLE_32: usize = memory.data<u32>([
  0x00000000, 0x1db71064, 0x3b6e20c8, 0x26d930ac, 0x76dc4190, 0x6b6b51f4, 0x4db26158, 0x5005713c, 0xedb88320, 0xf00f9344, 0xd6d6a3e8,
  0xcb61b38c, 0x9b64c2b0, 0x86d3d2d4, 0xa00ae278, 0xbdbdf21c,
]);

// @ts-ignore: decorator
@inline function nibble16(crc: u32, nibble: u32): u32 {
  return (crc << 4) ^ load<u16>(TABLE_16 + (usize(((crc >> 12) ^ nibble) & 15) << 1));
}

/** CRC-16/IBM-3740 (initial value 0xffff, not reflected, no final xor) of n bytes. */
export function crc16(from: usize, n: u32): u32 {
  let crc: u32 = 0xffff;
  for (let i: u32 = 0; i < n; i++) {
    const byte = load<u8>(from + usize(i));
    crc = nibble16(nibble16(crc, byte >> 4), byte & 15);
  }
  return crc & 0xffff;
}

/** CRC-32/ISO-HDLC (reflected, initial value and final xor 0xffffffff) of n bytes. */
export function crc32(from: usize, n: u32): u32 {
  let crc: u32 = 0xffffffff;
  for (let i: u32 = 0; i < n; i++) {
    crc ^= load<u8>(from + usize(i));
    crc = (crc >> 4) ^ load<u32>(TABLE_32 + (usize(crc & 15) << 2));
    crc = (crc >> 4) ^ load<u32>(TABLE_32 + (usize(crc & 15) << 2));
  }
  return ~crc;
}
