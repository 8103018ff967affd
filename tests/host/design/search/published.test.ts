/** Test functions of the literature: optima and fronts that others have proved or found. */
import { expect, it } from 'vitest';
import { hypervolume } from '../../../../host/design/front/hypervolume.ts';
import { objectivesOf, plan, searched } from './fixture.ts';
import {
  DTLZ2,
  PRESSURE_VESSEL,
  PRESSURE_VESSEL_BEST,
  type Published,
  SRN,
  WELDED_BEAM,
  WELDED_BEAM_BEST,
  ZDT1,
  ZDT2,
} from './published.ts';

const SEEDS = [1, 2, 3];

it.each([
  ['the welded beam', WELDED_BEAM, WELDED_BEAM_BEST],
  ['the pressure vessel', PRESSURE_VESSEL, PRESSURE_VESSEL_BEST],
] as const)('%s: the published value at the published point', (_name, problem, { value, at }) => {
  const values = problem.values(Float64Array.from(at));
  expect(values[0]! / value).toBeCloseTo(1, 5);
  for (const over of values.slice(1)) expect(over).toBeLessThan(1e-5);
});

it('the welded beam within a thousandth of the best known, and never below it', async () => {
  for (const seed of SEEDS) {
    const { front } = await searched(WELDED_BEAM, plan(seed, 6000));
    expect(front[0]!.objectives[0]! / WELDED_BEAM_BEST.value).toBeGreaterThan(1 - 1e-6);
    expect(front[0]!.objectives[0]! / WELDED_BEAM_BEST.value).toBeLessThan(1.001);
  }
});

it('the pressure vessel of plates as they are sold: the proved optimum, by three islands', async () => {
  for (const seed of SEEDS) {
    const { front } = await searched(PRESSURE_VESSEL, plan(seed, 6000, 3));
    expect(front[0]!.objectives[0]! / PRESSURE_VESSEL_BEST.value).toBeGreaterThan(1 - 1e-9);
    expect(front[0]!.objectives[0]! / PRESSURE_VESSEL_BEST.value).toBeLessThan(1.001);
  }
});

/**
 * Areas and volumes under the known fronts, by integration: with (1.1, 1.1), 0.21 + ∫√f and 0.21 + ∫f²; with 1.1 thrice,
 * 1.331 less the ball's eighth.
 */
it.each([
  ['ZDT1', ZDT1, [1.1, 1.1], 0.21 + 2 / 3, 0.97],
  ['ZDT2', ZDT2, [1.1, 1.1], 0.21 + 1 / 3, 0.94],
  ['DTLZ2', DTLZ2, [1.1, 1.1, 1.1], 1.331 - Math.PI / 6, 0.88],
] as [string, Published, number[], number, number][])(
  '%s: nearly all of what its front dominates, and nothing beyond',
  async (_name, problem, reference, whole, share) => {
    for (const seed of SEEDS) {
      const found = hypervolume(objectivesOf(await searched(problem, plan(seed, 6000))), Float64Array.from(reference));
      expect(found / whole).toBeGreaterThan(share);
      expect(found / whole).toBeLessThan(1);
    }
  },
);

it('SRN: its front, by its own algebra', async () => {
  const { front } = await searched(SRN, plan(1, 6000));
  // f₁ + f₂ = (x₁ + 2.5)² − 0.25: none can be lower, and where nothing binds the front is x₁ = −2.5, as published.
  const over = front.map(({ objectives: [f1, f2] }) => f1! + f2! + 0.25);
  expect(Math.min(...over)).toBeGreaterThan(-1e-9);
  expect(over.sort((a, b) => a - b)[Math.floor(over.length / 2)]).toBeLessThan(0.15);
  // The point of the second constraint's line nearest to (2, 1) is (1.1, 3.7).
  expect(Math.min(...front.map(({ objectives }) => objectives[0]!))).toBeCloseTo(10.1, 2);
});
