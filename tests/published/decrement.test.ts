/**
 * How a vibration dies away: W. T. Thomson, Theory of Vibration with Applications, examples 2.7-1 and 2.7-2, and the exact form
 * (Thomson 2.7, S. S. Rao, Mechanical Vibrations, 2.6). Values in values/decrement.json, from memory, each recomputed.
 */
import { expect, it } from 'vitest';
import { dampingOf, decrementOf, swingsToHalve, wobbleOfSwings } from '../../host/physics/vibration/decrement.ts';
import values from './values/decrement.json' with { type: 'json' };

const [thomson, halving, exact] = values as unknown as [
  {
    inputs: Record<'w_lb' | 'k' | 'c' | 'g', number>;
    expected: { zeta: number; delta: number; ratio: number; full: { zeta: number; delta: number } };
  },
  { inputs: { zeta: number[] }; expected: number[] },
  { inputs: { x0: number; xn: number; n: number }[]; expected: number[] },
];

it('a weight on a spring with a dashpot: damping, decrement, ratio of successive peaks', () => {
  const { w_lb, k, c, g } = thomson.inputs;
  const zeta = c / (2 * Math.sqrt((k * w_lb) / g));
  expect(zeta).toBeCloseTo(thomson.expected.full.zeta, 12);
  expect(decrementOf(zeta)).toBeCloseTo(thomson.expected.full.delta, 12);
  expect(decrementOf(zeta)).toBeCloseTo(thomson.expected.delta, 3);
  expect(Math.exp(decrementOf(zeta))).toBeCloseTo(thomson.expected.ratio, 2);
  expect(dampingOf(decrementOf(zeta))).toBeCloseTo(zeta, 14);
});

it.each(halving.inputs.zeta.map((zeta, i) => [zeta, halving.expected[i]!]))(
  'swings to half at damping %d',
  (zeta, swings) => {
    expect(swingsToHalve(zeta)).toBeCloseTo(swings, 10);
    // The rule of thumb for little damping: swings times damping is 0.110.
    expect(swingsToHalve(zeta) * zeta).toBeCloseTo(0.11, 2);
  },
);

it.each(exact.inputs.map((input, i) => ({ ...input, zeta: exact.expected[i]! })))(
  'from $x0 to $xn in $n swings: damping $zeta',
  ({ x0, xn, n, zeta }) => {
    const wobble = wobbleOfSwings({ swings: n, first: x0, last: xn, seconds: 2 });
    expect(wobble).not.toHaveProperty('problem');
    expect(wobble).toMatchObject({
      damping: expect.closeTo(zeta, 12),
      hz: expect.closeTo(n / 2 / Math.sqrt(1 - zeta * zeta), 12),
    });
  },
);
