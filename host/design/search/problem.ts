/**
 * All that the search knows of what it searches: points of the unit cube, what is to be small, what has to hold. It knows
 * neither rigs nor workers.
 */

/** How long the lists are. */
export interface Shape {
  /** Length of a point; each of its numbers lies in [0, 1]. */
  readonly dims: number;
  /** Smaller is better. */
  readonly objectives: number;
  /** 0: held; more: by how much not, so scaled that 1 is a lot. */
  readonly constraints: number;
}

export interface Problem extends Shape {
  /**
   * Writes the objectives, then the violations, to `out` from `at` on. Pure: the same x gives the same bits, and x stays
   * as it is.
   */
  readonly evaluate: (x: Float64Array, out: Float64Array, at: number) => void;
}

/** Evaluates many points at once. Answers stand by index, so that they are the same for any number of workers. */
export interface Evaluator {
  /**
   * @param xs n points, n × dims
   * @returns n × (objectives + constraints)
   */
  evaluate(xs: Float64Array, n: number): Promise<Float64Array>;
  close(): Promise<void>;
  readonly workers: number;
}

/** So many points between two looks at what else has to be done: an abort, a timer. */
const BREATH = 256;
const breathe = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));

/** In this thread. */
export function evaluatedHere(problem: Problem): Evaluator {
  const width = problem.objectives + problem.constraints;
  let since = 0;
  return {
    workers: 1,
    close: () => Promise.resolve(),
    async evaluate(xs, n) {
      const answers = new Float64Array(n * width);
      for (let i = 0; i < n; i++) {
        if (++since % BREATH === 0) await breathe();
        problem.evaluate(xs.slice(i * problem.dims, (i + 1) * problem.dims), answers, i * width);
      }
      return answers;
    },
  };
}
