/**
 * Wishes that contradict each other: which one to relax, by how much, the smallest step first. For each wish by itself the design is
 * looked for that holds all the others and falls least short of this one; each answer is a design that was evaluated whole.
 */
import type { Design } from './design.ts';
import type { Subject } from './problem-of.ts';
import type { Evaluator, Shape } from './search/problem.ts';
import { type Plan, type RunOptions, outcome, run, searchOf } from './search/search.ts';
import { FAULTS, type Amount, amountWords, shortOf } from './wishes.ts';

/** One wish that, relaxed so far, leaves a design. */
export interface Relaxed {
  /** Its key path in the want file. */
  readonly wish: string;
  readonly unit: string;
  readonly asked: Amount;
  /** What it could be with all else as asked. */
  readonly possible: Amount;
  /** By how much it gives way, as a share of what was asked. */
  readonly by: number;
  readonly words: string;
  readonly x: Float64Array;
  readonly design: Design;
}

export interface RelaxOptions extends RunOptions {
  readonly seed: number;
  /** Evaluations for each wish: one objective is found in some 500 (measured). */
  readonly each: number;
}

/** In the order of how little each gives way; empty: no single wish is enough. */
export async function relax(subject: Subject, evaluator: Evaluator, options: RelaxOptions): Promise<Relaxed[]> {
  const found: Relaxed[] = [];
  for (const k of subject.wishes.keys()) {
    if (options.signal?.aborted) break;
    const one = await relaxedAt(subject, evaluator, k, options);
    if (one) found.push(one);
  }
  return found.sort((a, b) => a.by - b.by);
}

async function relaxedAt(
  subject: Subject,
  evaluator: Evaluator,
  k: number,
  options: RelaxOptions,
): Promise<Relaxed | null> {
  const { problem, wishes } = subject;
  const shape: Shape = { dims: problem.dims, objectives: 1, constraints: wishes.length + FAULTS - 1 };
  const wish = wishes[k]!;
  const plan: Plan = { subject: wish.path, seed: options.seed, islands: 1, each: options.each };
  const search = searchOf(shape, plan);
  await run(search, without(evaluator, problem, k), options);
  const best = outcome([search]).nearest;
  if (!best || best.violation > 0) return null;
  const { design, figures } = subject.look(best.x);
  const by = shortOf(wish, figures, design);
  const possible = wish.given(figures, design);
  const { path, unit, asked } = wish;
  const words =
    path === 'must.follow'
      ? 'must.follow: without it, or with a smaller stream'
      : `${path}: ${amountWords(possible, unit)} instead of ${amountWords(asked, unit)}`;
  return { wish: path, unit, asked, possible, by, words, x: best.x, design };
}

/** The same points, with violation k as the only objective. */
function without(evaluator: Evaluator, { objectives, constraints, dims }: Shape, k: number): Evaluator {
  const width = objectives + constraints;
  return {
    workers: evaluator.workers,
    close: () => evaluator.close(),
    async evaluate(xs: Float64Array, n: number) {
      const all = await evaluator.evaluate(xs.subarray(0, n * dims), n);
      const out = new Float64Array(n * constraints);
      for (let i = 0; i < n; i++) {
        const own = all.subarray(i * width + objectives, (i + 1) * width);
        out[i * constraints] = own[k]!;
        for (let c = 0, at = 1; c < constraints; c++) if (c !== k) out[i * constraints + at++] = own[c]!;
      }
      return out;
    },
  };
}
