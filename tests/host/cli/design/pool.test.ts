/**
 * The pool of threads: the same bits for any number of workers, and words where one fails. The worker is bundled as dist/
 * is.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { build } from 'esbuild';
import { afterAll, beforeAll, expect, it } from 'vitest';
// @ts-expect-error a build script without types
import { BUNDLE } from '../../../../host/build/bundle.mjs';
import { type Pool, openPool } from '../../../../host/cli/design/pool.ts';
import { evaluatedHere } from '../../../../host/design/search/problem.ts';
import { outcome, run, searchOf } from '../../../../host/design/search/search.ts';
import { bits, plan, searched } from '../../design/search/fixture.ts';
import { type Description, problemOf } from './planted-problem.ts';

let folder = '';
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'posewright-pool-'));
  const entryPoints = {
    'design-worker': BUNDLE.entryPoints['design-worker'],
    planted: 'tests/host/cli/design/planted-problem.ts',
  };
  await build({ ...BUNDLE, entryPoints, outdir: folder });
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

const file = (name: string): URL => pathToFileURL(join(folder, name));
const opened = (kind: Description['kind'], workers: number): Promise<Pool> =>
  openPool({ worker: file('design-worker.mjs'), problem: file('planted.mjs'), description: { kind }, workers });

it.each(['planted', 'srn'] as const)('%s: equal bits for one to four workers, and in this thread', async (kind) => {
  const problem = problemOf({ kind });
  const of = plan(3, 1200, 3);
  const here = bits(await searched(problem, of));
  for (const workers of [1, 2, 3, 4]) {
    const pool = await opened(kind, workers);
    expect(pool.shape).toEqual({
      dims: problem.dims,
      objectives: problem.objectives,
      constraints: problem.constraints,
    });
    const search = searchOf(pool.shape, of);
    await run(search, pool);
    await pool.close();
    expect(bits(outcome([search])) === here, `${workers} workers`).toBe(true);
  }
});

it('answers stand by index for any number of points, more or fewer than before', async () => {
  const pool = await opened('srn', 3);
  const here = evaluatedHere(problemOf({ kind: 'srn' }));
  for (const n of [1, 700, 0, 2, 65, 1000]) {
    const xs = Float64Array.from({ length: n * 2 }, (_, i) => ((i + 1) * 0.618034) % 1);
    expect(bits(await pool.evaluate(xs, n))).toBe(bits(await here.evaluate(xs, n)));
  }
  await pool.close();
});

it.each([
  ['throws', /^a worker of the design search failed: point \d+ of 200: the crank has no length$/],
  ['exits', /^a worker of the design search failed: it ended by itself with code 3$/],
] as const)('a worker that %s says so, and so does every call after it', { timeout: 20_000 }, async (kind, words) => {
  for (const workers of [1, 3]) {
    const pool = await opened(kind, workers);
    const xs = Float64Array.from({ length: 200 * 6 }, (_, i) => ((i + 1) * 0.618034) % 1);
    await expect(pool.evaluate(xs, 200)).rejects.toThrow(words);
    await expect(pool.evaluate(xs, 200)).rejects.toThrow(/^a worker of the design search failed/);
    await pool.close();
  }
});

it('a problem that cannot be built, and a module that is not there, are words when the pool opens', async () => {
  await expect(opened('unbuilt', 2)).rejects.toThrow('a worker of the design search failed: no servo class named huge');
  const gone = openPool({
    worker: file('design-worker.mjs'),
    problem: file('gone.mjs'),
    description: null,
    workers: 2,
  });
  await expect(gone).rejects.toThrow(/^a worker of the design search failed: Cannot find module/);
  const none = openPool({ worker: file('none.mjs'), problem: file('planted.mjs'), description: null, workers: 1 });
  await expect(none).rejects.toThrow(/^a worker of the design search failed: Cannot find module/);
});

it('two batches at once are refused: the memory is one', async () => {
  const pool = await opened('srn', 2);
  const first = pool.evaluate(new Float64Array(400), 200);
  await expect(pool.evaluate(new Float64Array(2), 1)).rejects.toThrow('one batch at a time');
  expect(await first).toHaveLength(800);
  await pool.close();
});
