/** Envelopes as paths, numbers as words, text as markup: the small pieces of the page. */
import { describe, expect, it } from 'vitest';
import type { EnvelopeData } from '../../../../host/replay/result.ts';
import { bandPath, coarser, outlinePath, reach } from '../../../../host/report/draw/envelope.ts';
import { count, figure, kept, number, percent, setting, within } from '../../../../host/report/draw/figures.ts';
import { escapeText, markup } from '../../../../host/report/draw/markup.ts';

const data = (lo: number[], hi: number[], bucket_s = 1): EnvelopeData => ({
  bucket_s,
  lo: Float64Array.from(lo),
  hi: Float64Array.from(hi),
});

const x = (t: number): number => t * 10;
const y = (v: number): number => 100 - v;

describe('envelopes', () => {
  it('keep their peaks when merged, and leave off empty ends', () => {
    const fine = data([1, NaN, 3, -4, 5, NaN, NaN], [2, NaN, 9, 4, 5, NaN, NaN]);
    const coarse = coarser(fine, 3);
    expect(coarse.bucket_s).toBe(2);
    expect([...coarse.lo]).toEqual([1, -4, 5]);
    expect([...coarse.hi]).toEqual([2, 9, 5]);
    expect(reach(coarse)).toEqual([-4, 9]);
    expect([...coarser(data([NaN], [NaN]), 3).lo]).toEqual([]);
  });

  it('are one closed shape for each stretch without a gap', () => {
    expect(bandPath(data([0, 1], [2, 3]), x, y)).toBe('M5,98L15,97L15,99L5,100Z');
    const split = bandPath(data([0, NaN, 1, 2], [0, NaN, 1, 2]), x, y);
    expect(split.match(/M/g)).toHaveLength(2);
    expect(split).not.toContain('NaN');
    expect(bandPath(data([], []), x, y)).toBe('');
  });

  it('have a lower edge only where it stands apart', () => {
    expect(outlinePath(data([1, 1], [1.5, 1.5]), x, y)).toBe('M5,98.5L15,98.5');
    expect(outlinePath(data([1, 1], [9, 9]), x, y)).toBe('M5,91L15,91M5,99L15,99');
  });
});

describe('figures', () => {
  it('have about three digits, a true minus, and no minus zero', () => {
    expect([0, 1.234, 12.34, 123.4, -4, -0.0001].map((v) => number(v))).toEqual([
      '0',
      '1.23',
      '12.3',
      '123',
      '\u22124',
      '0.00',
    ]);
    expect(number(12345.6)).toBe('12\u202f346');
    expect(number(1234567)).toBe('1\u202f234\u202f567');
    expect(number(NaN)).toBe('–');
  });

  it('stay with their unit', () => {
    expect(figure(80, 'ms')).toBe('80\u00a0ms');
    expect(setting(59.99999999999999, 'deg')).toBe('60\u00a0deg');
    expect([count(1, 'tick'), count(0, 'tick')]).toEqual(['1\u00a0tick', '0\u00a0ticks']);
    expect(within(0, 'mm')).toBe('0.01\u00a0mm');
    expect(kept('held for 4.6 % of 12 s, in 3 steps')).toBe('held for 4.6\u00a0% of 12\u00a0s, in 3 steps');
  });

  it('never say none or all of what is neither', () => {
    expect([0, 0.0004, 0.042, 0.5, 0.9995, 1].map(percent)).toEqual([
      '0\u00a0%',
      'under\u00a00.1\u00a0%',
      '4.2\u00a0%',
      '50\u00a0%',
      'over\u00a099.9\u00a0%',
      '100\u00a0%',
    ]);
  });
});

describe('markup', () => {
  it('escapes text and attributes, and leaves markup alone', () => {
    const inner = markup`<b>${'<x>'}</b>`;
    expect(markup`<a title="${`"'&`}">${inner}${null}</a>`.markup).toBe(
      '<a title="&quot;&#39;&amp;"><b>&lt;x&gt;</b></a>',
    );
    expect(escapeText('a\u0000\u001bb')).toBe('a  b');
  });

  it('writes numbers briefly', () => {
    expect(markup`${1 / 3} ${-0.001}`.markup).toBe('0.33 0');
  });
});
