/** Checksums and framing of the controller against published vectors. */
import { crc16, crc32 } from '../../assembly/crc';

function digits(): usize {
  const at = memory.data(9);
  for (let i = 0; i < 9; i++) store<u8>(at + i, 0x31 + i);
  return at;
}

describe('checksums', () => {
  // Catalogue of parametrised CRC algorithms (G. Cook), check values over "123456789".
  it('CRC-16/IBM-3740 is 0x29b1', () => {
    expect(crc16(digits(), 9)).toBe(0x29b1);
  });
  it('CRC-32/ISO-HDLC is 0xcbf43926', () => {
    expect(crc32(digits(), 9)).toBe(0xcbf43926);
  });
});
