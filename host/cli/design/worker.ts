/**
 * What a thread of the pool starts with: builds its own problem, then evaluates what it is given. The build makes
 * dist/design-worker.mjs of it.
 */
import { parentPort, workerData } from 'node:worker_threads';
import type { Problem } from '../../design/search/problem.ts';
import type { Batch, ProblemModule, Said, Start } from './batch.ts';

const wordsOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));
const say = (said: Said): void => parentPort?.postMessage(said);

async function start({ problem: module, description }: Start): Promise<void> {
  const { problemOf } = (await import(module)) as ProblemModule;
  const problem = problemOf(description);
  const { dims, objectives, constraints } = problem;
  parentPort?.on('message', (batch: Batch) => say(work(problem, batch)));
  say({ kind: 'ready', shape: { dims, objectives, constraints } });
}

function work(problem: Problem, { xs, answers, next, n, chunk }: Batch): Said {
  const { dims, objectives, constraints } = problem;
  const width = objectives + constraints;
  const out = new Float64Array(width);
  for (let from = Atomics.add(next, 0, chunk); from < n; from = Atomics.add(next, 0, chunk))
    for (let i = from; i < Math.min(from + chunk, n); i++) {
      try {
        problem.evaluate(xs.slice(i * dims, (i + 1) * dims), out.fill(0), 0);
      } catch (error) {
        return { kind: 'failed', because: `point ${i + 1} of ${n}: ${wordsOf(error)}` };
      }
      answers.set(out, i * width);
    }
  return { kind: 'done' };
}

await start(workerData as Start).catch((error: unknown) => say({ kind: 'failed', because: wordsOf(error) }));
