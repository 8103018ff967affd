/**
 * Wishes that contradict each other: which one to relax, by how much, the smallest step first. For each wish by itself the design is
 * looked for that holds all the others and falls least short of this one; each answer is a design that was evaluated whole.
 */
import type { Design } from './design.ts';
import type { Subject } from './problem-of.ts';
import type { Evaluator, Shape } from './search/problem.ts';
import { type RunOptions, outcome, run, searchOf } from './search/search.ts';
import { FAULTS, type Amount, type Wish, amountWords, shortOf } from './wishes.ts';

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

/** Wishes that go with another: what is reached at once is a share of each travel, and without a stream it takes no torque. */
function goesWith(path: string): string | null {
  if (path === 'must.follow') return 'firm.use';
  return path.startsWith('must.') && path !== 'must.together' ? 'must.together' : null;
}

async function relaxedAt(
  subject: Subject,
  evaluator: Evaluator,
  k: number,
  options: RelaxOptions,
): Promise<Relaxed | null> {
  const { problem, wishes } = subject;
  const wish = wishes[k]!;
  const other = wishes.findIndex(({ path }) => path === goesWith(wish.path));
  const eased = other < 0 ? [k] : [k, other];
  const shape: Shape = { dims: problem.dims, objectives: 1, constraints: wishes.length + FAULTS - eased.length };
  const search = searchOf(shape, { subject: wish.path, seed: options.seed, islands: 1, each: options.each });
  await run(search, easing(evaluator, problem, eased), options);
  const best = outcome([search]).nearest;
  if (!best || best.violation > 0) return null;
  const { design, figures } = subject.look(best.x);
  const by = shortOf(wish, figures, design);
  const possible = wish.given(figures, design);
  const { path, unit, asked } = wish;
  const instead = (of: Wish): string =>
    `${of.path}: ${amountWords(of.given(figures, design), of.unit)} instead of ${amountWords(of.asked, of.unit)}`;
  const second = wishes[other];
  const also = second && shortOf(second, figures, design) > 0 ? `, and with it ${instead(second)}` : '';
  const words =
    path === 'must.follow' ? 'must.follow: without it, or with a smaller stream' : `${instead(wish)}${also}`;
  return { wish: path, unit, asked, possible, by, words, x: best.x, design };
}

/** The same points, with the sum of some violations as the only objective. */
function easing(evaluator: Evaluator, { objectives, constraints, dims }: Shape, eased: readonly number[]): Evaluator {
  const width = objectives + constraints;
  const rest = Array.from({ length: constraints }, (_, c) => c).filter((c) => !eased.includes(c));
  return {
    workers: evaluator.workers,
    close: () => evaluator.close(),
    async evaluate(xs: Float64Array, n: number) {
      const all = await evaluator.evaluate(xs.subarray(0, n * dims), n);
      const out = new Float64Array(n * (1 + rest.length));
      for (let i = 0; i < n; i++) {
        const own = all.subarray(i * width + objectives, (i + 1) * width);
        const at = i * (1 + rest.length);
        for (const k of eased) out[at]! += own[k]!;
        rest.forEach((c, j) => (out[at + 1 + j] = own[c]!));
      }
      return out;
    },
  };
}
