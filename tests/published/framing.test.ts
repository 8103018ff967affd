/**
 * Framing and checksums against published vectors: the host's libraries and the controller's own code, separately and
 * against each other. Sources stand beside the values in values/framing.json: S. Cheshire, M. Baker, "Consistent Overhead
 * Byte Stuffing", IEEE/ACM Trans. Networking 7(2), 1999; G. Cook, Catalogue of parametrised CRC algorithms.
 */
import { decode, encode } from 'cobs';
import crc16 from 'crc/calculators/crc16ccitt';
import crc32 from 'crc/calculators/crc32';
import { beforeAll, describe, expect, it } from 'vitest';
import { type Parts, compileParts } from './parts.ts';
import values from './values/framing.json' with { type: 'json' };

const hex = (text: string): Uint8Array => Uint8Array.from(Buffer.from(text, 'hex'));
const text = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex');
const WHOLE = 1;

let parts: Parts;
beforeAll(async () => {
  parts = await compileParts();
});
const put = (bytes: Uint8Array): number => {
  new Uint8Array(parts.memory.buffer).set(bytes, parts.input());
  return bytes.length;
};
const got = (n: number): Uint8Array => new Uint8Array(parts.memory.buffer).slice(parts.output(), parts.output() + n);

describe('COBS', () => {
  const { inputs, published } = values['fr-cobs-vectors'];
  const vectors = inputs.map((plain, i) => [plain.slice(0, 12), plain, published[i]!] as const);

  it.each(vectors)('the controller encodes and decodes %s…', (_, plain, stuffed) => {
    expect(text(got(parts.stuff(put(hex(plain)))))).toBe(stuffed);
    expect(parts.unstuff(put(hex(stuffed)))).toBe(WHOLE);
    expect(text(got(parts.unstuffed()))).toBe(plain);
  });

  it.each(vectors)('the library decodes %s…, and what it encodes the controller decodes', (_, plain, stuffed) => {
    expect(text(decode(hex(stuffed)))).toBe(plain);
    expect(parts.unstuff(put(encode(hex(plain))))).toBe(WHOLE);
    expect(text(got(parts.unstuffed()))).toBe(plain);
  });

  it('figure 2 of the paper: 679 bytes without a zero', () => {
    const figure = values['fr-cobs-paper-fig2'];
    const bytes = (runs: readonly (readonly number[])[]): number[] =>
      runs.flatMap(([byte, times]) => new Array<number>(times!).fill(byte!));
    const [plain, stuffed] = [bytes(figure.inputs), bytes(figure.published)];
    expect([plain.length, stuffed.length]).toEqual([679, 682]);
    expect([...got(parts.stuff(put(Uint8Array.from(plain))))]).toEqual(stuffed);
  });

  it('the controller refuses what a strict decoder must refuse', () => {
    // One of them ends in a zero: on the wire that is a whole frame with its delimiter.
    const inputs = values['fr-cobs-decode-errors'].inputs.filter((bad) => bad === '00' || !bad.endsWith('00'));
    expect(inputs.length).toBe(3);
    for (const bad of inputs) expect(parts.unstuff(put(hex(bad)))).not.toBe(WHOLE);
  });

  it('no encoding is longer than the bound', () => {
    const { inputs: lengths, published: bounds } = values['fr-cobs-bound'];
    lengths.forEach((n, i) => {
      expect(parts.stuff(put(new Uint8Array(n).fill(7)))).toBeLessThanOrEqual(bounds[i]!);
    });
  });
});

describe('checksums over "123456789"', () => {
  const check = new TextEncoder().encode('123456789');
  const value = (id: keyof typeof values): number => Number(values[id].published);

  it('CRC-16/IBM-3740: library and controller', () => {
    expect(crc16(check)).toBe(value('fr-crc-crc-16-ibm-3740'));
    expect(parts.crc16Of(put(check))).toBe(value('fr-crc-crc-16-ibm-3740'));
  });

  it('CRC-32/ISO-HDLC: library and controller', () => {
    expect(crc32(check) >>> 0).toBe(value('fr-crc-crc-32-iso-hdlc'));
    expect(parts.crc32Of(put(check)) >>> 0).toBe(value('fr-crc-crc-32-iso-hdlc'));
  });

  it('neither is a similar checksum that it could be mistaken for', () => {
    expect(parts.crc16Of(put(check))).not.toBe(value('fr-crc-crc-16-xmodem'));
    expect(parts.crc32Of(put(check)) >>> 0).not.toBe(value('fr-crc-crc-32-mpeg-2'));
  });
});

describe('random frames', () => {
  it('library and controller agree on checksum and framing for every length to 300', () => {
    let seed = 5;
    for (let n = 1; n <= 300; n++) {
      const bytes = Uint8Array.from({ length: n }, () => {
        seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
        return seed >>> 29 === 0 ? 0 : seed >>> 24;
      });
      expect(parts.crc16Of(put(bytes))).toBe(crc16(bytes));
      expect(parts.crc32Of(put(bytes)) >>> 0).toBe(crc32(bytes) >>> 0);
      expect(decode(got(parts.stuff(put(bytes))))).toEqual(Buffer.from(bytes));
    }
  });
});
