/**
 * The fitting itself, against certified results: NIST/ITL Statistical Reference Datasets (StRD), Norris (linear) and Misra1a (nonlinear),
 * itl.nist.gov/div898/strd; quantiles against NIST/SEMATECH e-Handbook, 1.3.6.7.2.
 */
import { describe, expect, it } from 'vitest';
import { type Problem, fit } from '../../../../host/bringup/estimate/least-squares.ts';
import { normalBeyond, t95 } from '../../../../host/bringup/estimate/quantiles.ts';
import { straightLine } from '../../../../host/bringup/estimate/scale.ts';

const NORRIS_X = [
  0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6,
  556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
];
const NORRIS_Y = [
  0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
  557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
];
const MISRA_Y = [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78];
const MISRA_X = [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0];

const misra = (start: readonly number[]): Problem => ({
  model: ([b1 = NaN, b2 = NaN]) => MISRA_X.map((x) => b1 * (1 - Math.exp(-b2 * x))),
  readings: MISRA_Y,
  sigma: MISRA_Y.map(() => 0.1),
  start,
  typical: [50, 1e-4],
});

describe('certified (NIST StRD)', () => {
  it('Norris: a straight line, its errors and its scatter', () => {
    const line = straightLine(NORRIS_X, NORRIS_Y)!;
    expect(line.slope).toBeCloseTo(1.00211681802045, 12);
    expect(line.intercept).toBeCloseTo(-0.262323073774029, 11);
    expect(line.slope_error).toBeCloseTo(0.429796848199937e-3, 14);
    expect(line.intercept_error).toBeCloseTo(0.232818234301152, 12);
    expect(line.spread).toBeCloseTo(0.884796396144373, 12);
    expect(line.freedom).toBe(34);
  });

  it('Norris by the general fit: the same', () => {
    const found = fit({
      model: ([b0 = NaN, b1 = NaN]) => NORRIS_X.map((x) => b0 + b1 * x),
      readings: NORRIS_Y,
      sigma: NORRIS_Y.map(() => 1),
      start: [0, 1],
      typical: [10, 0.1],
    })!;
    expect(found.figures[0]).toBeCloseTo(-0.262323073774029, 8);
    expect(found.figures[1]).toBeCloseTo(1.00211681802045, 10);
    expect(found.error[0]).toBeCloseTo(0.232818234301152, 8);
    expect(found.error[1]).toBeCloseTo(0.429796848199937e-3, 10);
    expect(found.spread).toBeCloseTo(0.884796396144373, 10);
  });

  it.each([
    ['1', [500, 0.0001]],
    ['2', [250, 0.0005]],
  ])('Misra1a from start %s', (_, start) => {
    const found = fit(misra(start))!;
    expect(Math.abs(found.figures[0]! / 2.3894212918e2 - 1)).toBeLessThan(1e-8);
    expect(Math.abs(found.figures[1]! / 5.5015643181e-4 - 1)).toBeLessThan(1e-8);
    expect(Math.abs(found.error[0]! / 2.7070075241 - 1)).toBeLessThan(1e-6);
    expect(Math.abs(found.error[1]! / 7.2668688436e-6 - 1)).toBeLessThan(1e-6);
    // In units of sigma, 0.1.
    expect(found.spread * 0.1).toBeCloseTo(1.018787633e-1, 9);
    expect(found.freedom).toBe(12);
    expect(found.rank).toBe(2);
  });
});

describe('Student and normal', () => {
  it.each([
    [3, 3.182],
    [4, 2.776],
    [5, 2.571],
    [10, 2.228],
    [30, 2.042],
    [100, 1.984],
  ])('t for 95 % with %i degrees of freedom (NIST/SEMATECH e-Handbook, 1.3.6.7.2)', (freedom, t) => {
    expect(Math.abs(t95(freedom) / t - 1)).toBeLessThan(0.007);
  });
  it('normal beyond (same, 1.3.6.7.1)', () => {
    expect(normalBeyond(0.025)).toBeCloseTo(1.96, 2);
    expect(normalBeyond(0.001)).toBeCloseTo(3.09, 2);
  });
});

describe('what readings cannot tell', () => {
  const sum: Problem = {
    model: ([a = NaN, b = NaN, c = NaN]) => [1, 2, 3, 4, 5, 6].map((x) => a + b + c * x),
    readings: [1, 2, 3, 4, 5, 6].map((x, i) => 5.2 + 2 * x + (i % 2 === 0 ? 0.01 : -0.01)),
    sigma: [1, 1, 1, 1, 1, 1].map(() => 0.1),
    start: [2, 3, 1],
    typical: [1, 1, 1],
  };

  it('two figures that only their sum is seen of: their difference stays, and the sum is found', () => {
    const found = fit(sum)!;
    expect(found.rank).toBe(2);
    expect(found.held).toHaveLength(1);
    const [a, b, c] = found.held[0]!;
    expect(a! + b!).toBeCloseTo(0, 6);
    expect(c).toBeCloseTo(0, 6);
    expect(found.figures[0]! - found.figures[1]!).toBeCloseTo(-1, 6);
    expect(found.figures[0]! + found.figures[1]!).toBeCloseTo(5.2, 1);
    expect(found.figures[2]).toBeCloseTo(2, 1);
    expect(found.heldShare[0]).toBeCloseTo(Math.SQRT1_2, 6);
    // Half of what is held may be off as it was before.
    expect(found.off[0]).toBeGreaterThan(0.7);
    expect(found.off[2]).toBeLessThan(0.1);
  });

  it('with readings so coarse that the slope is less sure than before, that stays too', () => {
    expect(fit({ ...sum, sigma: sum.sigma.map(() => 50) })!.rank).toBe(0);
  });

  it('too few readings for any confidence: none', () => {
    expect(
      fit({
        ...misra([250, 0.0005]),
        readings: MISRA_Y.slice(0, 4),
        sigma: [0.1, 0.1, 0.1, 0.1],
        model: ([b1 = NaN, b2 = NaN]) => MISRA_X.slice(0, 4).map((x) => b1 * (1 - Math.exp(-b2 * x))),
        typical: [500, 1e-2],
      }),
    ).toBeNull();
  });
});

describe('an outlier', () => {
  it('of Norris, 20 off, is named; without it none is', () => {
    const problem = (readings: readonly number[]): Problem => ({
      model: ([b0 = NaN, b1 = NaN]) => NORRIS_X.map((x) => b0 + b1 * x),
      readings,
      sigma: readings.map(() => 1),
      start: [0, 1],
      typical: [10, 0.1],
    });
    expect(fit(problem(NORRIS_Y))!.outlier).toBeNull();
    expect(fit(problem(NORRIS_Y.with(7, NORRIS_Y[7]! + 20)))!.outlier?.index).toBe(7);
  });
});
