/**
 * Problems whose best point is known because it was hidden there. Each is f(x) ≥ 1 wherever its constraints hold, and 1 at
 * `hidden`: f = 1 + g·d + |M·d|² with d = x − hidden, constraints aᵢ·d ≤ 0 and g = −Σ λᵢ·aᵢ with λᵢ > 0, so that g·d ≥ 0
 * wherever they hold (the conditions of Karush, Kuhn and Tucker for a convex problem). What is added to it (ripples,
 * holes) is nowhere negative.
 */
import { Draws } from '../../../../host/design/search/draws.ts';
import type { Problem } from '../../../../host/design/search/problem.ts';

export interface Planting {
  readonly seed: number;
  readonly dims: number;
  /** Constraints that the hidden point stands on. */
  readonly walls: number;
  /** Height of the ripples: as many local optima as there are. */
  readonly ripple?: number;
  /** The first so many numbers exist in steps only. */
  readonly snapped?: number;
  /** Half of the cube answers NaN: everywhere that a number more than the hidden one is by more than 0.1. */
  readonly hasHoles?: boolean;
}

const STEPS = 8;
/** Longest against shortest axis of the bowl. */
const CONDITION = 30;

export interface Planted extends Problem {
  readonly hidden: Float64Array;
}

export function planted({ seed, dims, walls, ripple = 0, snapped = 0, hasHoles = false }: Planting): Planted {
  const draws = Draws.of(seed, 1000);
  const list = (make: () => number): Float64Array => Float64Array.from({ length: dims }, make);
  const snap = (value: number): number => Math.round(value * STEPS) / STEPS;
  const hidden = list(() => 0.2 + 0.6 * draws.uniform()).map((value, i) => (i < snapped ? snap(value) : value));
  const rows = Array.from({ length: dims }, (_, i) => {
    const row = list(() => draws.normal());
    const length = Math.hypot(...row) / 2;
    return row.map((value) => (value / length) * Math.sqrt(CONDITION) ** (-i / (dims - 1)));
  });
  const normals = Array.from({ length: walls }, () => list(() => draws.normal() / Math.sqrt(dims)));
  const pulls = normals.map(() => 0.5 + draws.uniform());
  const dot = (a: Float64Array, b: Float64Array): number => a.reduce((sum, value, i) => sum + value * b[i]!, 0);
  return {
    dims,
    objectives: 1,
    constraints: walls,
    hidden,
    evaluate: (x, out, at) => {
      const d = x.map((value, i) => (i < snapped ? snap(value) : value) - hidden[i]!);
      const isHole = hasHoles && d[0]! > 0.1;
      let f = 1;
      normals.forEach((normal, k) => {
        const over = dot(normal, d);
        f -= pulls[k]! * over;
        // A hole looks best of all to whoever takes NaN for held.
        out[at + 1 + k] = isHole ? NaN : Math.max(0, over);
      });
      for (const row of rows) f += dot(row, d) ** 2;
      for (const value of d) f += ripple * (1 - Math.cos(6 * Math.PI * value));
      out[at] = isHole ? -100 : f;
    },
  };
}

/**
 * Several objectives, each small at a point of its own: how far from each of so many hidden points, by a measure of its
 * own, where a wall's side holds. What lies between the points is the front.
 */
export function plantedFront(seed: number, dims: number, objectives: number): Problem {
  const draws = Draws.of(seed, 2000);
  const list = (make: () => number): Float64Array => Float64Array.from({ length: dims }, make);
  const ideals = Array.from({ length: objectives }, () => list(() => 0.2 + 0.6 * draws.uniform()));
  const weights = ideals.map(() => list(() => 0.5 + draws.uniform()));
  const normal = list(() => draws.normal());
  return {
    dims,
    objectives,
    constraints: 1,
    evaluate: (x, out, at) => {
      ideals.forEach((ideal, k) => {
        out[at + k] = Math.hypot(...x.map((value, i) => weights[k]![i]! * (value - ideal[i]!)));
      });
      const over = normal.reduce((sum, by, i) => sum + by * (x[i]! - ideals[0]![i]!), 0);
      out[at + objectives] = Math.max(0, over);
    },
  };
}
