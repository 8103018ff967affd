/** Gragg-Bulirsch-Stoer, after Hairer's ODEX: the oracle of the plant. Its sources are not written as strictly as ours. */
import { createRequire } from 'node:module';

interface Odex {
  readonly Solver: new (unknowns: number) => {
    relativeTolerance: number;
    absoluteTolerance: number;
    solve(f: (x: number, y: number[]) => number[], from: number, y: number[], to: number): { readonly y: number[] };
  };
}

const require = createRequire(import.meta.url);
const { Solver } = require('odex') as Odex;

/** y at `to` of y' = f(x, y), to so many relative and absolute. */
export function integrate(
  f: (x: number, y: number[]) => number[],
  from: number,
  y: readonly number[],
  to: number,
  tolerance = 1e-11,
): number[] {
  const solver = new Solver(y.length);
  solver.relativeTolerance = solver.absoluteTolerance = tolerance;
  return solver.solve(f, from, [...y], to).y;
}
