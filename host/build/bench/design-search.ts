/** The benchmark's figures of the design search: problems whose answer is planted, and fronts against random search. */
import { evaluatedHere } from '../../design/search/problem.ts';
import { run, searchOf } from '../../design/search/search.ts';
import { againstRandom } from '../../../tests/host/design/search/against-random.ts';
import { plan } from '../../../tests/host/design/search/fixture.ts';
import { type Planting, planted, plantedFront } from '../../../tests/host/design/search/planted.ts';
import { ZDT1 } from '../../../tests/host/design/search/published.ts';
import type { Problem } from '../../design/search/problem.ts';
import { type AimRow, type Say, aimCells, cpu_s, printTable, whole } from './table.ts';

const PLANTINGS: readonly Omit<Planting, 'seed'>[] = [
  { dims: 6, walls: 2 },
  { dims: 8, walls: 3 },
  { dims: 10, walls: 4 },
  { dims: 10, walls: 0 },
  { dims: 8, walls: 3, hasHoles: true },
];
const SEEDS = 10;
const BUDGET = 1500;
const NEAR = 1.02;
const FRONT_SEEDS = 5;
const FRONT_BUDGET = 6000;
const LEAST_RATIO = 1.05;

/** Evaluations until the best was within 2 % of the hidden optimum, 1; Infinity: never. */
async function untilNear(problem: Problem, seed: number): Promise<number> {
  let near = Infinity;
  await run(searchOf(problem, plan(seed, BUDGET)), evaluatedHere(problem), {
    onProgress: ({ evaluated, best: [best] }) => {
      if (best && best.objectives[0]! <= NEAR) near = Math.min(near, evaluated);
    },
  });
  return near;
}

async function plantings(say: Say): Promise<AimRow> {
  let found = 0;
  const all: number[] = [];
  for (const planting of PLANTINGS) {
    const counts: number[] = [];
    for (let seed = 1; seed <= SEEDS; seed++) counts.push(await untilNear(planted({ seed, ...planting }), seed));
    counts.sort((a, b) => a - b);
    found += counts.filter(Number.isFinite).length;
    all.push(...counts);
    say(`  ${JSON.stringify(planting)}: ${counts.join(', ')}`);
  }
  all.sort((a, b) => a - b);
  const count = PLANTINGS.length * SEEDS;
  return {
    name: `planted problems within 2 % by ${whole(BUDGET)} evaluations`,
    aim: `${count} of ${count}`,
    measured: `${found} of ${count}; median ${whole(all[all.length >> 1]!)}, worst ${whole(all.at(-1)!)} evaluations`,
    isMet: found === count,
  };
}

async function fronts(name: string, problemOf: (seed: number) => Problem): Promise<AimRow> {
  const ratios: number[] = [];
  for (let seed = 1; seed <= FRONT_SEEDS; seed++) ratios.push(await againstRandom(problemOf(seed), seed, FRONT_BUDGET));
  const least = Math.min(...ratios);
  return {
    name: `hypervolume against random, ${whole(FRONT_BUDGET)} evaluations, ${name}`,
    aim: `${LEAST_RATIO} x`,
    measured: `${ratios.map((ratio) => ratio.toFixed(2)).join(', ')}; least ${least.toFixed(2)} x`,
    isMet: least >= LEAST_RATIO,
  };
}

export async function searches(say: Say): Promise<void> {
  say('\nDesign search: evaluations until 2 % from the hidden optimum, ten seeds:');
  const from = cpu_s();
  const rows = [
    await plantings(say),
    await fronts('two objectives', (seed) => plantedFront(seed, 8, 2)),
    await fronts('three objectives', (seed) => plantedFront(seed, 8, 3)),
    await fronts('ZDT1', () => ZDT1),
  ];
  say(`${(cpu_s() - from).toFixed(1)} s of CPU\n`);
  printTable(say, ['', 'aim', 'measured'], rows.map(aimCells));
}
