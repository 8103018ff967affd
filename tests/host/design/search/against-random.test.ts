/** A front of 6,000 evaluations against as many random points: at least 1.05 times the hypervolume, whichever the seed. */
import { expect, it } from 'vitest';
import { ZDT1 } from './published.ts';
import { plantedFront } from './planted.ts';
import { againstRandom } from './against-random.ts';

const SEEDS = [1, 2, 3, 4, 5];

it.each([2, 3])('%i objectives of eight numbers', async (objectives) => {
  for (const seed of SEEDS)
    expect(await againstRandom(plantedFront(seed, 8, objectives), seed, 6000), `seed ${seed}`).toBeGreaterThan(1.05);
});

it('ZDT1', async () => {
  for (const seed of SEEDS) expect(await againstRandom(ZDT1, seed, 6000), `seed ${seed}`).toBeGreaterThan(1.05);
});
