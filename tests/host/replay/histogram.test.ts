import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Distribution } from '../../../host/replay/histogram.ts';

const of = (values: readonly number[]): Distribution => {
  const distribution = new Distribution();
  values.forEach((value) => distribution.add(value));
  return distribution;
};

/** Nearest rank: the smallest value that at least a share of all does not exceed. */
const nearestRank = (values: readonly number[], share: number): number =>
  [...values].sort((a, b) => a - b)[Math.max(1, Math.ceil(share * values.length)) - 1]!;

const positive = fc.double({ min: 2 ** -12, max: 1e6, noNaN: true });

describe('percentiles', () => {
  it('are within 0.1 % of the nearest rank, and the largest is exact', () => {
    fc.assert(
      fc.property(
        fc.array(positive, { minLength: 1, maxLength: 300 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (v, q) => {
          const distribution = of(v);
          const expected = nearestRank(v, q);
          expect(Math.abs(distribution.quantile(q) - expected)).toBeLessThanOrEqual(expected * 2 ** -10 * 1.001);
          expect(distribution.spread().max).toBe(Math.max(...v));
        },
      ),
      { numRuns: 500 },
    );
  });

  it('of 1 to 1000 are what they should be', () => {
    const { p50, p99, max } = of(Array.from({ length: 1000 }, (_, i) => i + 1)).spread();
    expect(Math.abs(p50 - 500)).toBeLessThan(0.5);
    expect(Math.abs(p99 - 990)).toBeLessThan(1);
    expect(max).toBe(1000);
  });

  it('of a single value, of zeros, and beyond the bins are exact', () => {
    expect(of([12.345]).spread()).toEqual({ p50: 12.345, p99: 12.345, max: 12.345 });
    expect(of([0, 0, 0]).spread()).toEqual({ p50: 0, p99: 0, max: 0 });
    expect(of([1, 1e12]).spread().max).toBe(1e12);
    expect(of([1e-9]).quantile(0.5)).toBe(1e-9);
  });

  it('of nothing are 0; NaN and infinities are nothing', () => {
    const distribution = of([NaN, Infinity, -Infinity]);
    expect(distribution.count).toBe(0);
    expect(distribution.spread()).toEqual({ p50: 0, p99: 0, max: 0 });
    expect(distribution.histogram('ms')).toEqual({ unit: 'ms', edges: [0], counts: [] });
  });
});

describe('bars', () => {
  it('count every value, between edges that hold them all', () => {
    fc.assert(
      fc.property(fc.array(fc.oneof(positive, fc.constant(0)), { minLength: 1, maxLength: 200 }), (values) => {
        const { edges, counts, unit } = of(values).histogram('us');
        expect(unit).toBe('us');
        expect(edges).toHaveLength(counts.length + 1);
        expect(counts.reduce((sum, count) => sum + count, 0)).toBe(values.length);
        expect(counts.length).toBeLessThanOrEqual(62);
        const slack = 1e-9 * Math.max(...values);
        expect(edges[0]).toBeLessThanOrEqual(Math.min(...values) + slack);
        expect(edges.at(-1)).toBeGreaterThanOrEqual(Math.max(...values) - slack);
        for (let i = 0; i + 1 < edges.length; i += 1) expect(edges[i + 1]!).toBeGreaterThan(edges[i]!);
      }),
      { numRuns: 500 },
    );
  });

  it('have round edges', () => {
    const { edges } = of([0.3, 2.9]).histogram('ms', 10);
    expect(edges[0]).toBe(0.2);
    expect(edges[1]).toBe(0.4);
    expect(edges.at(-1)).toBe(3);
  });

  it('of evenly spread values are even: no comb of the fine bins', () => {
    const { counts } = of(Array.from({ length: 100_000 }, (_, i) => 80 + (4 * i) / 100_000)).histogram('ms');
    const inner = counts.slice(1, -1);
    expect(inner.length).toBeGreaterThan(2);
    expect(Math.max(...inner) / Math.min(...inner)).toBeLessThan(1.7);
  });

  it('of equal values are one', () => {
    expect(of([5, 5, 5]).histogram('ms').counts).toEqual([3]);
    expect(of([0]).histogram('ms').counts).toEqual([1]);
  });
});
