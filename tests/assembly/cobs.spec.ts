/**
 * COBS of the controller: the vectors are in tests/published/framing.test.ts, which drives both the library and this codec;
 * here the decoder is fed what must be refused, and lengths around a block.
 */
import { BROKEN, Decoder, EMPTY, MORE, WHOLE, encode, feed, feedBlock, restart } from '../../assembly/cobs';

const DECODER: usize = memory.data(i32(offsetof<Decoder>()));
const BUFFER: usize = memory.data(2048);
const PLAIN: usize = memory.data(2048);
const RING: usize = memory.data(2048);

function ready(capacity: u32): Decoder {
  const d = changetype<Decoder>(DECODER);
  restart(d);
  d.out = BUFFER;
  d.capacity = capacity;
  return d;
}

function fed(bytes: u8[]): u32 {
  const d = ready(64);
  let result: u32 = MORE;
  for (let i = 0; i < bytes.length; i++) result = feed(d, bytes[i]);
  return result;
}

describe('the decoder', () => {
  it('refuses what runs past its end', () => {
    expect(fed([0x05, 0x31, 0x32, 0x33, 0x00])).toBe(BROKEN);
    expect(fed([0x05, 0x31, 0x32, 0x00])).toBe(BROKEN);
    expect(fed([0x00])).toBe(EMPTY);
  });

  it('refuses what does not fit, and takes what just does', () => {
    const d = ready(3);
    const bytes: u8[] = [5, 1, 2, 3, 4, 0];
    let result: u32 = MORE;
    for (let i = 0; i < bytes.length; i++) result = feed(d, bytes[i]);
    expect(result).toBe(BROKEN);
    expect(fed([4, 1, 2, 3, 0])).toBe(WHOLE);
  });

  it('takes both forms of a full last block', () => {
    for (let form = 0; form < 2; form++) {
      const d = ready(512);
      feed(d, 0xff);
      for (let i = 0; i < 254; i++) feed(d, 7);
      if (form == 1) feed(d, 1);
      expect(feed(d, 0)).toBe(WHOLE);
      expect(d.length).toBe(254);
    }
  });
});

describe('encode and decode', () => {
  it('are inverse for every length to 1200 bytes, zeros here and there, around the ring, at every place within a word', () => {
    let seed: u32 = 9;
    let wrong = 0;
    for (let n: u32 = 0; n < 1200; n++) {
      const from = PLAIN + (n & 3);
      for (let i: u32 = 0; i < n; i++) {
        seed = seed * 1664525 + 1013904223;
        store<u8>(from + i, seed >> 30 == 0 && n % 3 != 0 ? 0 : u8(seed >> 16) | 1);
      }
      const start = seed >> 3;
      const end = encode(from, n, RING, 2047, start);
      if (end - start > n + 1 + n / 254) wrong++;
      const d = ready(2048);
      for (let h = start; h != end; h++) if (feed(d, load<u8>(RING + usize(h & 2047))) != MORE) wrong++;
      if (feed(d, 0) != WHOLE || d.length != n || memory.compare(BUFFER, from, n) != 0) wrong++;
    }
    expect(wrong).toBe(0);
  });

  it('takes a block in pieces of any length as it takes single bytes', () => {
    let seed: u32 = 11;
    let wrong = 0;
    for (let n: u32 = 1; n < 600; n++) {
      for (let i: u32 = 0; i < n; i++) {
        seed = seed * 1664525 + 1013904223;
        store<u8>(PLAIN + i, seed >> 28 == 0 ? 0 : u8(seed >> 16) | 1);
      }
      const start = seed;
      const end = encode(PLAIN, n, RING, 2047, start);
      store<u8>(RING + usize(end & 2047), 0);
      const d = ready(2048);
      let h = start;
      let result: u32 = MORE;
      while (h != end + 1) {
        seed = seed * 1664525 + 1013904223;
        const most = (seed >> 28) + 1;
        h += feedBlock(d, RING, 2047, h, end + 1 - h < most ? end + 1 - h : most);
        if (h != end + 1) result = feed(d, load<u8>(RING + usize(h++ & 2047)));
      }
      if (result != WHOLE || d.length != n || memory.compare(BUFFER, PLAIN, n) != 0) wrong++;
    }
    expect(wrong).toBe(0);
  });

  it('takes no block beyond what it has room for', () => {
    const d = ready(3);
    const bytes: u8[] = [5, 1, 2, 3, 4, 0];
    for (let i = 0; i < bytes.length; i++) store<u8>(RING + i, bytes[i]);
    feed(d, 5);
    expect(feedBlock(d, RING, 2047, 1, 5)).toBe(3);
    feed(d, 4);
    expect(feedBlock(d, RING, 2047, 5, 1)).toBe(0);
    expect(feed(d, 0)).toBe(BROKEN);
  });
});
