/** What was hidden is found: within 2 % by 1,500 evaluations, whichever the seed. */
import { expect, it } from 'vitest';
import { Draws } from '../../../../host/design/search/draws.ts';
import { type Planting, planted } from './planted.ts';
import { plan, searched } from './fixture.ts';

const SEEDS = Array.from({ length: 10 }, (_, i) => i + 1);

it.each<Omit<Planting, 'seed'>>([
  { dims: 6, walls: 2 },
  { dims: 8, walls: 3 },
  { dims: 10, walls: 4 },
  { dims: 10, walls: 0 },
  { dims: 8, walls: 3, hasHoles: true },
])('%o, ten of ten seeds', async (planting) => {
  for (const seed of SEEDS) {
    const { front, evaluated } = await searched(planted({ seed, ...planting }), plan(seed, 1500));
    expect(evaluated).toBe(1500);
    expect(front).toHaveLength(1);
    const [value] = front[0]!.objectives;
    expect(value, `seed ${seed}`).toBeGreaterThan(1 - 1e-9);
    expect(value, `seed ${seed}`).toBeLessThan(1.02);
    expect(front[0]!.violation).toBe(0);
  }
});

it.each(SEEDS)('as many random points do not come near, seed %i', (seed) => {
  const problem = planted({ seed, dims: 8, walls: 3 });
  const draws = Draws.of(seed, 1);
  const out = new Float64Array(4);
  let least = Infinity;
  for (let i = 0; i < 1500; i++) {
    problem.evaluate(
      Float64Array.from({ length: 8 }, () => draws.uniform()),
      out,
      0,
    );
    if (out[1] === 0 && out[2] === 0 && out[3] === 0) least = Math.min(least, out[0]!);
  }
  expect(least).toBeGreaterThan(1.1);
});

it('ripples and stock sizes take more islands: five of 3,000 evaluations', async () => {
  for (const seed of SEEDS.slice(0, 3))
    for (const planting of [{ ripple: 0.02 }, { snapped: 2 }]) {
      const { front } = await searched(planted({ seed, dims: 8, walls: 3, ...planting }), plan(seed, 3000, 5));
      expect(front[0]!.objectives[0], `seed ${seed}`).toBeLessThan(1.02);
    }
});
