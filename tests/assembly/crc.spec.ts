/** Checksums and framing of the controller against published vectors. */
import { crc16, crc32 } from '../../assembly/crc';

/** Standing so many bytes behind a word's edge: whole words go another way. */
function digits(behind: i32 = 0): usize {
  const at = memory.data(16) + behind;
  for (let i = 0; i < 9; i++) store<u8>(at + i, 0x31 + i);
  return at;
}

const BYTES: usize = memory.data(1024);

/** As the catalogue defines it: polynomial 0x1021, a bit at a time. */
function bitwise(from: usize, n: u32): u32 {
  let crc: u32 = 0xffff;
  for (let i: u32 = 0; i < n; i++) {
    crc ^= u32(load<u8>(from + usize(i))) << 8;
    for (let bit = 0; bit < 8; bit++) crc = ((crc << 1) ^ (crc & 0x8000 ? 0x1021 : 0)) & 0xffff;
  }
  return crc;
}

describe('checksums', () => {
  // Catalogue of parametrised CRC algorithms (G. Cook), check values over "123456789".
  it('CRC-16/IBM-3740 is 0x29b1', () => {
    for (let k = 0; k < 4; k++) expect(crc16(digits(k), 9)).toBe(0x29b1);
  });
  it('CRC-32/ISO-HDLC is 0xcbf43926', () => {
    expect(crc32(digits(), 9)).toBe(0xcbf43926);
  });
  it('CRC-16 is the polynomial division for every length to 600 bytes, at every place within a word', () => {
    let seed: u32 = 11;
    let wrong = 0;
    for (let i: usize = 0; i < 1024; i++) {
      seed = seed * 1664525 + 1013904223;
      store<u8>(BYTES + i, u8(seed >> 24));
    }
    for (let n: u32 = 0; n <= 600; n++)
      for (let k: usize = 0; k < 4; k++) if (crc16(BYTES + k, n) != bitwise(BYTES + k, n)) wrong++;
    expect(wrong).toBe(0);
  });
  it('every single bit of a frame of 61 bytes is divided as it should be', () => {
    let wrong = 0;
    for (let k: usize = 0; k < 4; k++)
      for (let bit: usize = 0; bit < 61 * 8; bit++) {
        memory.fill(BYTES, 0, 64);
        store<u8>(BYTES + k + (bit >> 3), u8(1 << u8(bit & 7)));
        if (crc16(BYTES + k, 61) != bitwise(BYTES + k, 61)) wrong++;
      }
    expect(wrong).toBe(0);
  });
});
