/**
 * Input shapers against published formulas and figures; values and sources in values/shapers.json (N. C. Singer, W. P. Seering, J. Dyn.
 * Syst. Meas. Control 112(1), 1990; W. Singhose et al., J. Mech. Des. 116(2), 1994, Control Eng. Practice 8, 2000, Int. J. Precision
 * Eng. Manuf. 10(4), 2009).
 */
import { describe, expect, it } from 'vitest';
import { quietRange, residual } from '../../host/physics/vibration/shaper.ts';
import { type Cure, type Impulse, halfPeriodDecay, shaperOf } from '../../host/rig/shaper.ts';
import values from './values/shapers.json' with { type: 'json' };

const family = values['sh-zv-zvd'];
const tenth = values['sh-K-0.1'];
const left = values['sh-prv-formula'];
const range = values['sh-insensitivity-5pct'];
const undamped = values['sh-ei-undamped'];
const damped = values['sh-ei-damped-fit'];
const shares = (shaper: readonly Impulse[]): number[] => shaper.map(({ share }) => share);

function expectClose(found: readonly number[], wanted: readonly number[], within: number): void {
  expect(found).toHaveLength(wanted.length);
  found.forEach((value, i) =>
    expect(Math.abs(value - wanted[i]!), `${found.join()} is not ${wanted.join()}`).toBeLessThan(within),
  );
}

describe('exact and tolerant', () => {
  const cases = family.inputs.cases.map((input, i) => ({ ...input, ...family.derived[i]! }));
  it.each(cases)('at $f_n_hz Hz, damping $zeta', ({ f_n_hz, zeta, K, half_damped_period_s: half_s, ZV, ZVD }) => {
    expect(halfPeriodDecay(zeta)).toBeCloseTo(K, 12);
    const exact = shaperOf('exact', f_n_hz, zeta);
    const tolerant = shaperOf('tolerant', f_n_hz, zeta);
    expectClose(shares(exact), ZV, 1e-12);
    expectClose(shares(tolerant), ZVD, 1e-12);
    expectClose(
      tolerant.map(({ at_s }) => at_s),
      [0, half_s, 2 * half_s],
      1e-12,
    );
    expect(residual(exact, f_n_hz, zeta)).toBeLessThan(1e-12);
    expect(residual(tolerant, f_n_hz, zeta)).toBeLessThan(1e-12);
  });

  it('at damping 0.1, as tables round them', () => {
    const { zeta } = tenth.inputs;
    expect(halfPeriodDecay(zeta)).toBeCloseTo(tenth.published.K, 4);
    expectClose(shares(shaperOf('exact', 1, zeta)), tenth.published.ZV, 1e-4);
    expectClose(shares(shaperOf('tolerant', 1, zeta)), tenth.published.ZVD, 1e-4);
  });
});

describe('residual vibration', () => {
  it.each(left.inputs.plant.map((plant, i) => ({ ...plant, wanted: left.derived[i]! })))(
    'of a plant at $f Hz, damping $zeta, by a shaper for 2 Hz and 0.05',
    ({ f, zeta, wanted }) => {
      expect(residual(shaperOf('exact', 2, 0.05), f, zeta)).toBeCloseTo(wanted, 12);
    },
  );

  it.each([
    ['exact', 'ZV'],
    ['tolerant', 'ZVD'],
    ['broad', 'EI'],
  ] as [Cure, 'ZV' | 'ZVD' | 'EI'][])('%s (%s): width of the range with at most 5 %% left', (cure, name) => {
    const [lowest, highest] = quietRange(shaperOf(cure, 3, 0), 3, 0, range.inputs.V)!;
    expect(highest - lowest).toBeCloseTo(range.derived[name], 6);
    // Printed with three digits, the narrowest with one.
    expect(Math.abs(highest - lowest - range.published[name])).toBeLessThan(0.005);
  });
});

describe('broad', () => {
  it('undamped: shares, what is left at its frequency, and nothing at two frequencies beside it', () => {
    const shaper = shaperOf('broad', 4, 0);
    expectClose(shares(shaper), undamped.derived.A, 1e-12);
    expect(residual(shaper, 4, 0)).toBeCloseTo(undamped.derived.residual_at_design, 12);
    for (const ratio of undamped.derived.zeros_at) expect(residual(shaper, 4 * ratio, 0)).toBeLessThan(1e-12);
  });

  it.each(damped.derived.filter(({ zeta }) => zeta > 0))('damped by $zeta', ({ zeta, A, t_over_Td }) => {
    const shaper = shaperOf('broad', 2, zeta);
    const period_s = 1 / (2 * Math.sqrt(1 - zeta * zeta));
    expectClose(shares(shaper), A, 1e-9);
    expectClose(
      shaper.map(({ at_s }) => at_s / period_s),
      t_over_Td,
      1e-9,
    );
    expect(Math.abs(residual(shaper, 2, zeta) - damped.inputs.V)).toBeLessThan(0.003);
  });
});
