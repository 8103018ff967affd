/** Searches of test problems, and their outcomes as text: two are the same where every bit is. */
import { type Problem, evaluatedHere } from '../../../../host/design/search/problem.ts';
import { type Outcome, type Plan, outcome, run, searchOf } from '../../../../host/design/search/search.ts';

export const plan = (seed: number, each: number, islands = 1): Plan => ({ subject: 'test', seed, islands, each });

export async function searched(problem: Problem, of: Plan): Promise<Outcome> {
  const search = searchOf(problem, of);
  await run(search, evaluatedHere(problem));
  return outcome([search]);
}

/** Every number in full, a negative zero too. */
export const bits = (of: unknown): string =>
  JSON.stringify(of, (_key, value: unknown) => {
    if (value instanceof Float64Array) return [...new BigUint64Array(Float64Array.from(value).buffer)].map(String);
    return Object.is(value, -0) ? '-0' : value;
  });

export const objectivesOf = ({ front }: Outcome): Float64Array[] => front.map(({ objectives }) => objectives);
