/**
 * How a vibration dies away: W. T. Thomson, Theory of Vibration with Applications, examples 2.7-1 and 2.7-2, and the exact form
 * (Thomson 2.7, S. S. Rao, Mechanical Vibrations, 2.6). Values, published and derived, in values/decrement.json.
 */
import { expect, it } from 'vitest';
import { dampingOf, decrementOf, swingsToHalve, wobbleOfSwings } from '../../host/physics/vibration/decrement.ts';
import values from './values/decrement.json' with { type: 'json' };

const thomson = values['sh-thomson-decrement'];
const halving = values['sh-halving-cycles'];
const exact = values['sh-logdec-exact'];

it('a weight on a spring with a dashpot: damping, decrement, ratio of successive peaks', () => {
  const { w_lb, k, c, g } = thomson.inputs;
  const zeta = c / (2 * Math.sqrt((k * w_lb) / g));
  expect(zeta).toBeCloseTo(thomson.derived.zeta, 12);
  expect(decrementOf(zeta)).toBeCloseTo(thomson.derived.delta, 12);
  expect(zeta).toBeCloseTo(thomson.published.zeta, 4);
  expect(Math.exp(decrementOf(zeta))).toBeCloseTo(thomson.published.ratio, 2);
  // The book goes on from its rounded damping factor.
  expect(decrementOf(thomson.published.zeta)).toBeCloseTo(thomson.published.delta, 3);
  expect(dampingOf(decrementOf(zeta))).toBeCloseTo(zeta, 14);
});

it.each(halving.inputs.zeta.map((zeta, i) => [zeta, halving.derived.cycles[i]!]))(
  'swings to half at damping %d',
  (zeta, swings) => {
    expect(swingsToHalve(zeta)).toBeCloseTo(swings, 10);
    // The rule of thumb for little damping.
    expect(swingsToHalve(zeta) * zeta).toBeCloseTo(halving.published.product, 2);
  },
);

it.each(exact.inputs.map((input, i) => ({ ...input, zeta: exact.derived.zeta[i]! })))(
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
