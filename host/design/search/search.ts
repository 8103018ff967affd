/**
 * The whole search: islands that know nothing of each other, each with its own seed and its own budget, asked in turn and
 * evaluated together. What they found is put together at the end, in the order of their numbers, without a single
 * evaluation more. So it is the same to the last bit for any number of workers, after any number of pauses, and for
 * islands that ran on machines apart.
 */
import { nonDominated } from '../front/sort.ts';
import { type Island, ask, isSpent, islandOf, tell } from './island.ts';
import { type Point, best, compare, pointOf } from './point.ts';
import type { Evaluator, Shape } from './problem.ts';

/** What a search is to do; two of the same plan find the same. */
export interface Plan {
  /** What is searched, such as a digest of it: searches of different subjects have nothing to do with each other. */
  readonly subject: string;
  /** A whole number of 32 bits. */
  readonly seed: number;
  /** How many islands; null: one after the other for as long as there is time. */
  readonly islands: number | null;
  /** Evaluations of each island. */
  readonly each: number;
  /** How long it was asked to go on, where time decides; what it finds by then rests on the machine. */
  readonly minutes?: number;
}

/** Which islands are run here: those whose number, from 1, leaves k after counting round to n. */
export interface Shard {
  /** 1 … of */
  readonly k: number;
  readonly of: number;
}

export interface Search {
  readonly shape: Shape;
  readonly plan: Plan;
  readonly shard: Shard;
  /** Those begun, by rising number. */
  readonly islands: Island[];
  /** Points that every island looks at first. */
  readonly known?: readonly Float64Array[];
}

export const WHOLE: Shard = { k: 1, of: 1 };
/** Evaluated side by side: enough points at once for a few workers. */
const TOGETHER = 3;

/** Nothing is evaluated yet. */
export const searchOf = (shape: Shape, plan: Plan, shard: Shard = WHOLE): Search => ({
  shape,
  plan,
  shard,
  islands: [],
});

/** One island that looks first at points that another search of the same numbers ended with. */
export const searchFrom = (known: readonly Float64Array[], shape: Shape, plan: Omit<Plan, 'islands'>): Search => ({
  ...searchOf(shape, { ...plan, islands: 1 }),
  known,
});

/** A point of the answer and the island that found it. */
export interface Found extends Point {
  readonly island: number;
}

export interface Outcome {
  /** Feasible, none dominating another, no two equal in every objective; by island, then by time. */
  readonly front: readonly Found[];
  /** Points that the islands ended with, the smallest violation first. */
  readonly last: readonly Point[];
  /** The best by the first objective; where nothing is feasible, what violates least. Null: nothing was evaluated. */
  readonly nearest: Found | null;
  readonly evaluated: number;
  readonly feasible: number;
  /** Every island of the plan is here and has spent its budget. */
  readonly isComplete: boolean;
}

export interface Progress {
  readonly evaluated: number;
  /** Of this shard; null: for as long as there is time. */
  readonly of: number | null;
  /** The best found by each objective; null: nothing is feasible yet. */
  readonly best: readonly (Point | null)[];
  readonly nearest: Point | null;
}

export interface RunOptions {
  /** Heard between two batches; what was found stays in the search. */
  readonly signal?: AbortSignal;
  /** Whether the time is up, asked between two batches. */
  readonly isOver?: () => boolean;
  /** After every batch. The search may be written down then. */
  readonly onProgress?: (progress: Progress) => void;
}

/**
 * Goes on until every island of this shard has spent its budget, or is told to stop. Rejects where the evaluator does: the
 * search must then not go on.
 */
export async function run(search: Search, evaluator: Evaluator, options: RunOptions = {}): Promise<void> {
  const { signal, isOver, onProgress } = options;
  while (!signal?.aborted && !isOver?.()) {
    const active = begun(search);
    if (active.length === 0) return;
    await step(search.shape, active, evaluator);
    onProgress?.(progressOf(search));
  }
}

/** Those to be asked next; begins as many as there is room for. */
function begun({ shape, plan, shard, islands, known }: Search): Island[] {
  const active = islands.filter((island) => !isSpent(island));
  const there = new Set(islands.map(({ index }) => index));
  for (let index = shard.k - 1; active.length < TOGETHER; index += shard.of) {
    if (plan.islands !== null && index >= plan.islands) break;
    if (there.has(index)) continue;
    const island = islandOf(shape, plan.seed, index, plan.each, known);
    islands.push(island);
    active.push(island);
  }
  return active;
}

async function step(shape: Shape, active: readonly Island[], evaluator: Evaluator): Promise<void> {
  const asked = active.map(ask);
  const all = asked.flat();
  const xs = new Float64Array(all.length * shape.dims);
  all.forEach((x, i) => {
    xs.set(x, i * shape.dims);
  });
  const answers = await evaluator.evaluate(xs, all.length);
  let from = 0;
  active.forEach((island, i) => {
    const points = asked[i]!.map((x, k) => pointOf(shape, x, answers, from + k, island.used + k));
    from += points.length;
    tell(shape, island, points);
  });
}

function progressOf({ shape, plan, shard, islands }: Search): Progress {
  const found = islands.flatMap(({ archive }) => archive.points);
  const count = plan.islands === null ? null : Math.max(0, Math.ceil((plan.islands - shard.k + 1) / shard.of));
  return {
    evaluated: islands.reduce((sum, { used }) => sum + used, 0),
    of: count === null ? null : count * plan.each,
    best: Array.from({ length: shape.objectives }, (_, j) => best(found, j)),
    nearest: best(
      islands.flatMap(({ archive }) => archive.nearest ?? []),
      0,
    ),
  };
}

/**
 * What one search found, or what the shards of one found together: the same as if one machine had run every island.
 * @param searches of one plan, each island in one of them
 */
export function outcome(searches: readonly Search[]): Outcome {
  const islands = searches.flatMap((search) => search.islands).sort((a, b) => a.index - b.index);
  const from = ({ index }: Island, point: Point): Found => ({ ...point, island: index });
  const all = islands.flatMap((island) => island.archive.points.map((point) => from(island, point)));
  const nearest = islands.flatMap((island) => (island.archive.nearest ? [from(island, island.archive.nearest)] : []));
  const plan = searches[0]?.plan;
  return {
    front: nonDominated(all.map(({ objectives }) => objectives)).map((i) => all[i]!),
    last: islands
      .flatMap(({ stage, archive }) => [
        ...('crowd' in stage ? stage.crowd : []),
        ...(archive.nearest ? [archive.nearest] : []),
      ])
      .sort((a, b) => compare(a, b, 0)),
    nearest: best(nearest, 0) as Found | null,
    evaluated: islands.reduce((sum, { used }) => sum + used, 0),
    feasible: islands.reduce((sum, { archive }) => sum + archive.feasible, 0),
    isComplete: plan !== undefined && islands.length === plan.islands && islands.every(isSpent),
  };
}
