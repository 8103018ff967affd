import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PlainDecimal, readNumber } from '../../../host/stream/decimal.ts';
import { bytes } from './fixtures.ts';

const plain = (text: string): number => new PlainDecimal().read(bytes(`${text},`), 0);

describe('plain decimals from bytes', () => {
  // Expected: Number(), which ECMA-262 (7.1.4.1) requires to round correctly up to 20 digits, and V8 does beyond.
  it.each([
    '0',
    '-0',
    '7',
    '-7',
    '1.5',
    '.5',
    '5.',
    '0.1',
    '-0.30000000000000004',
    '9007199254740993',
    '123456789012345',
  ])('reads %s as Number() does', (text) => expect(plain(text)).toBe(Number(text)));

  it('agrees with Number() to the last bit up to 15 digits, and within 2e-15 up to 22', () => {
    const number = fc.tuple(fc.double({ noNaN: true, min: -9e4, max: 9e4 }), fc.integer({ min: 0, max: 17 }));
    fc.assert(
      fc.property(number, ([value, decimals]) => {
        const text = value.toFixed(decimals);
        const expected = Number(text);
        if (text.replace(/\D/g, '').length <= 15) expect(plain(text)).toBe(expected);
        else expect(Math.abs(plain(text) - expected)).toBeLessThanOrEqual(2e-15 * Math.abs(expected));
      }),
      { numRuns: 5000 },
    );
  });

  it.each(['', '-', '.', '-.', '+1', ' 1', 'x', 'NaN', `1${'0'.repeat(400)}`])('leaves "%s" to others', (text) => {
    expect(plain(text)).toBeNaN();
  });

  it('stops behind the number, where exponents and anything else are seen', () => {
    const scanner = new PlainDecimal();
    scanner.read(bytes('12.5e3,'), 0);
    expect(scanner.at).toBe(4);
  });
});

describe('numbers from cells', () => {
  it.each([
    [' 1.5 ', 1.5],
    ['+2', 2],
    ['1e-5', 1e-5],
    ['-.5E2', -50],
  ])('reads "%s"', (cell, value) => expect(readNumber(cell)).toBe(value));

  it.each([
    ['', /empty/],
    ['1e400', /not finite/],
    ['-Infinity', /not finite/],
    ['inf', /not finite/],
    ['nan', /"nan", not a number/],
    ['0x10', /not a number/],
    ['1_000', /not a number/],
    ['1,5', /write 1\.5, with a point/],
    ['--1', /not a number/],
    ['a'.repeat(99), /…", not a number/],
  ])('says what is wrong with "%s"', (cell, words) => expect(readNumber(cell)).toMatch(words));
});
