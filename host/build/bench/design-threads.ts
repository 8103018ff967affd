/**
 * The benchmark's figures of the design search's pool: whole candidates a minute on one and on two threads, started from dist/ as the
 * command starts them, their objectives and violations included. By the wall, and by CPU time where the machine is shared.
 */
import { pathToFileURL } from 'node:url';
import { openPool } from '../../cli/design/pool.ts';
import { describeProblem, subjectOf } from '../../design/problem-of.ts';
import { halton } from '../../design/search/halton.ts';
import type { Want } from '../../design/want/want.ts';
import { dusk } from '../../../tests/host/design/candidates.ts';
import { NECK, wantOf } from '../../../tests/host/design/want/wants.ts';
import { type Say, aimCells, cpu_s, printTable, whole } from './table.ts';

const POINTS = 6000;
const AIMS: readonly (readonly [workers: number, aim: number])[] = [
  [1, 130_000],
  [2, 250_000],
];

const dist = (name: string): URL => pathToFileURL(`dist/${name}.mjs`);

/** The owl's neck along dusk. */
async function wantAlongDusk(): Promise<Want> {
  const want = wantOf(NECK);
  return { ...want, must: { ...want.must, follow: { name: 'dusk', stored: await dusk(want.base) } } };
}

export async function threads(say: Say): Promise<void> {
  const { problem, wishes, want, ask } = subjectOf(describeProblem(await wantAlongDusk()));
  const xs = Float64Array.from(Array.from({ length: POINTS }, (_, i) => [...halton(i, new Float64Array(problem.dims))]).flat());
  const width = problem.objectives + problem.constraints;
  say('\nDesign candidates in threads (the owl’s neck along dusk, points spread evenly):\n');
  let standing = 0;
  const rows: string[][] = [];
  for (const [workers, aim] of AIMS) {
    const pool = await openPool({ problem: dist('design-problem'), worker: dist('design-worker'), description: { want, ask }, workers });
    // Until the compiler has done with it.
    await pool.evaluate(xs, POINTS / 2);
    const [from_ms, from_s] = [performance.now(), cpu_s()];
    const answers = await pool.evaluate(xs, POINTS);
    const minute = (60_000 * POINTS) / (performance.now() - from_ms);
    const cpuMinute = (60 * workers * POINTS) / (cpu_s() - from_s);
    await pool.close();
    standing = Array.from({ length: POINTS }, (_, i) => answers[i * width + problem.objectives + wishes.length]).filter((fault) => fault === 0).length;
    const name = `whole candidates a minute on ${workers === 1 ? 'one thread' : 'two threads'}`;
    rows.push(aimCells({ name: `${name}, by the wall`, aim: whole(aim), measured: whole(minute), isMet: minute >= aim }));
    rows.push(aimCells({ name: `${name}, by CPU time`, aim: whole(aim), measured: whole(cpuMinute), isMet: cpuMinute >= aim }));
  }
  printTable(say, ['', 'aim', 'measured'], rows);
  say(`\n${whole(standing)} of ${whole(POINTS)} of these stand at home.`);
}
