/** What the pool's tests have their workers build: planted problems, and what goes wrong. */
import type { Problem } from '../../../../host/design/search/problem.ts';
import { planted } from '../../design/search/planted.ts';
import { SRN } from '../../design/search/published.ts';

export interface Description {
  readonly kind: 'planted' | 'srn' | 'throws' | 'unbuilt' | 'exits';
}

export function problemOf(description: unknown): Problem {
  const { kind } = description as Description;
  if (kind === 'unbuilt') throw new Error('no servo class named huge');
  if (kind === 'srn') return SRN;
  const problem = planted({ seed: 1, dims: 6, walls: 2, hasHoles: true });
  if (kind === 'planted') return problem;
  return {
    ...problem,
    evaluate: (x, out, at) => {
      if (x[0]! > 0.9 && kind === 'exits') process.exit(3);
      if (x[0]! > 0.9) throw new Error('the crank has no length');
      problem.evaluate(x, out, at);
    },
  };
}
