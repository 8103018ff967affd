/** Checksums and framing of the controller against published vectors. */
import { crc16, crc32 } from '../../assembly/crc';

/** Standing so many bytes behind a word's edge: whole words go another way. */
function digits(behind: i32 = 0): usize {
  const at = memory.data(16) + behind;
  for (let i = 0; i < 9; i++) store<u8>(at + i, 0x31 + i);
  return at;
}

describe('checksums', () => {
  // Catalogue of parametrised CRC algorithms (G. Cook), check values over "123456789".
  it('CRC-16/IBM-3740 is 0x29b1', () => {
    for (let k = 0; k < 4; k++) expect(crc16(digits(k), 9)).toBe(0x29b1);
  });
  it('CRC-32/ISO-HDLC is 0xcbf43926', () => {
    expect(crc32(digits(), 9)).toBe(0xcbf43926);
  });
});
