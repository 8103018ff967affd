/**
 * The host's framing against libraries (npm packages cobs and crc) and against the bytes themselves: any pieces, any garbage
 * between frames.
 */
import { decode, encode } from 'cobs';
import libraryCrc from 'crc/calculators/crc16ccitt';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { crc16 } from '../../../host/controller/checksum.ts';
import { encodeFrame, frameReader } from '../../../host/controller/frames.ts';
import { stuff, unstuff } from '../../../host/controller/stuffing.ts';

const stuffed = (raw: Uint8Array): Uint8Array => {
  const out = new Uint8Array(raw.length + 2 + Math.floor(raw.length / 254));
  return out.slice(0, stuff(raw, raw.length, out));
};
const unstuffed = (wire: Uint8Array): Uint8Array => {
  const out = new Uint8Array(wire.length);
  return out.slice(0, unstuff(wire, 0, wire.length, out));
};

/** Bytes with zeros often, seldom and never, across the ends of the first two full blocks. */
const anyBytes = fc.oneof(
  fc.uint8Array({ maxLength: 700 }),
  fc.uint8Array({ min: 1, minLength: 250, maxLength: 700 }),
  fc.uint8Array({ max: 2, maxLength: 40 }),
);

describe('stuffing', () => {
  it('is what the library makes, and the library undoes it', () => {
    fc.assert(
      fc.property(anyBytes, (raw) => {
        expect(stuffed(raw)).toEqual(new Uint8Array(encode(raw)));
        expect(new Uint8Array(decode(stuffed(raw)))).toEqual(raw);
        expect(unstuffed(stuffed(raw))).toEqual(raw);
      }),
      { numRuns: 300 },
    );
  });

  it.each([253, 254, 255, 508, 509])('%i bytes without a zero', (length) => {
    const raw = new Uint8Array(length).fill(7);
    expect(stuffed(raw)).toEqual(new Uint8Array(encode(raw)));
    expect(unstuffed(stuffed(raw))).toEqual(raw);
  });

  it('takes a full last block with and without the empty one behind it: both are legal', () => {
    const wire = Uint8Array.from({ length: 255 }, (_, i) => (i === 0 ? 255 : 7));
    expect(unstuffed(wire)).toEqual(new Uint8Array(254).fill(7));
    expect(unstuffed(Uint8Array.of(...wire, 1))).toEqual(new Uint8Array(254).fill(7));
  });

  it('refuses a block that reaches past the end', () => {
    expect(unstuff(Uint8Array.of(3, 1), 0, 2, new Uint8Array(8))).toBe(-1);
    expect(unstuff(Uint8Array.of(2, 1, 3, 1, 9), 0, 4, new Uint8Array(8))).toBe(-1);
  });
});

describe('the checksum', () => {
  it('is that of CRC-16/IBM-3740: check value 0x29B1 of the digits 1 to 9 (CRC RevEng catalogue)', () => {
    expect(crc16(new TextEncoder().encode('123456789'), 9)).toBe(0x29b1);
  });

  it('is the library’s for the first bytes of anything, whatever stands behind them', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 700 }), fc.nat(700), (bytes, n) => {
        const length = Math.min(n, bytes.length);
        expect(crc16(bytes, length)).toBe(libraryCrc(bytes.subarray(0, length)));
      }),
      { numRuns: 300 },
    );
  });
});

describe('frames', () => {
  const reader = () => {
    const frames: [type: number, sequence: number, payload: number[]][] = [];
    const seen = { frames, bad: 0 };
    const read = frameReader({
      frame: (type, sequence, payload) =>
        frames.push([type, sequence, Array.from({ length: payload.byteLength }, (_, i) => payload.getUint8(i))]),
      bad: () => seen.bad++,
    });
    return { read, seen };
  };

  it('come back whole from bytes in any pieces', () => {
    const frame = fc.tuple(fc.nat(255), fc.nat(255), fc.uint8Array({ maxLength: 600 }));
    fc.assert(
      fc.property(fc.array(frame, { maxLength: 5 }), fc.integer({ min: 1, max: 400 }), (sent, piece) => {
        const bytes = Uint8Array.from(
          sent.flatMap(([type, sequence, payload]) => [...encodeFrame(type, sequence, payload)]),
        );
        const { read, seen } = reader();
        for (let at = 0; at < bytes.length; at += piece) read(bytes.subarray(at, at + piece));
        expect(seen.frames).toEqual(sent.map(([type, sequence, payload]) => [type, sequence, [...payload]]));
        expect(seen.bad).toBe(0);
      }),
    );
  });

  it('with any one byte changed are bad, or two bad ones, never another frame', () => {
    const wire = encodeFrame(5, 9, Uint8Array.of(1, 0, 2, 0, 0, 3));
    for (let at = 0; at < wire.length; at++)
      for (let change = 1; change < 256; change++) {
        const bytes = wire.slice();
        bytes[at]! ^= change;
        const { read, seen } = reader();
        read(bytes);
        read(Uint8Array.of(0));
        expect(seen.frames).toEqual([]);
        expect(seen.bad).toBeGreaterThan(0);
      }
  });

  it('after a line of garbage are found again at the next zero', () => {
    const { read, seen } = reader();
    for (let k = 0; k < 30; k++) read(new Uint8Array(100).fill(85));
    read(Uint8Array.of(0, ...encodeFrame(1, 2, new Uint8Array(3))));
    expect(seen.frames).toEqual([[1, 2, [0, 0, 0]]]);
    expect(seen.bad).toBeGreaterThan(0);
  });
});
