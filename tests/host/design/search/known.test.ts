import { expect, it } from 'vitest';
import { type Problem, evaluatedHere } from '../../../../host/design/search/problem.ts';
import { outcome, run, searchFrom } from '../../../../host/design/search/search.ts';

const AT = Float64Array.of(0.123, 0.877);
const problem: Problem = {
  ...{ dims: 2, objectives: 1, constraints: 0 },
  evaluate: (x, out, at) => {
    out[at] = Math.hypot(x[0]! - AT[0]!, x[1]! - AT[1]!);
  },
};

it('a search from known points looks at them before anything else, and does no worse', async () => {
  const search = searchFrom([Float64Array.of(0.5, 0.5), AT], problem, { subject: 'known', seed: 1, each: 5 });
  await run(search, evaluatedHere(problem));
  const { nearest, evaluated } = outcome([search]);
  expect([...nearest!.x, nearest!.objectives[0], evaluated]).toEqual([...AT, 0, 5]);
});
