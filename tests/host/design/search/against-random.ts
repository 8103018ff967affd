/**
 * How much better a search is than random points: the ratio of their hypervolumes, over a reference that both are measured
 * by.
 */
import { nonDominated } from '../../../../host/design/front/sort.ts';
import { hypervolume } from '../../../../host/design/front/hypervolume.ts';
import { Draws } from '../../../../host/design/search/draws.ts';
import { pointOf } from '../../../../host/design/search/point.ts';
import type { Problem } from '../../../../host/design/search/problem.ts';
import { objectivesOf, plan, searched } from './fixture.ts';

/** Objectives of the feasible among so many random points. */
function randomPoints(problem: Problem, seed: number, count: number): Float64Array[] {
  const draws = Draws.of(seed, 3000);
  const out = new Float64Array(problem.objectives + problem.constraints);
  return Array.from({ length: count }, (_, at) => {
    const x = Float64Array.from({ length: problem.dims }, () => draws.uniform());
    problem.evaluate(x, out, 0);
    return pointOf(problem, x, out, 0, at);
  }).flatMap(({ objectives, violation }) => (violation === 0 ? [objectives] : []));
}

/**
 * The hypervolume of a search's front over that of as many random points. The reference is the worst of the random points'
 * own front in each objective: what random search would show, so that its front counts for as much as it can.
 */
export async function againstRandom(problem: Problem, seed: number, evaluations: number): Promise<number> {
  const found = objectivesOf(await searched(problem, plan(seed, evaluations)));
  const all = randomPoints(problem, seed, evaluations);
  const front = nonDominated(all).map((i) => all[i]!);
  const reference = Float64Array.from({ length: problem.objectives }, (_, k) =>
    Math.max(...front.map((point) => point[k]!)),
  );
  return hypervolume(found, reference) / hypervolume(front, reference);
}
