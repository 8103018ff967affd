/**
 * Differential evolution towards one objective alone, from the best that is known: the ends of a front, which a search for
 * the whole of it reaches last (DE/best/1/bin: Storn and Price, "Differential evolution", J. Global Optimization 11,
 * 1997).
 */
import type { Draws } from './draws.ts';
import { child, others } from './gde3.ts';
import { type Point, best, compare } from './point.ts';

export interface Polish {
  readonly kind: 'polish';
  readonly objective: number;
  crowd: Point[];
}

const CROWD = 20;

export const polishFrom = (known: readonly Point[], objective: number): Polish => ({
  kind: 'polish',
  objective,
  crowd: [...known].sort((a, b) => compare(a, b, objective)).slice(0, CROWD),
});

export function askPolish({ crowd, objective }: Polish, draws: Draws): Float64Array[] {
  const base = best(crowd, objective)!;
  return crowd.map((parent, i) => {
    const [, b, c] = others(crowd.length, i, draws);
    return child(parent.x, base.x, crowd[b!]!.x, crowd[c!]!.x, draws);
  });
}

/**
 * @param children one for each of the crowd, in its order; an equal one takes its parent's place, so that a crowd drifts
 * on flat ground
 */
export function tellPolish(polish: Polish, children: readonly Point[]): void {
  polish.crowd = polish.crowd.map((parent, i) => {
    const own = children[i]!;
    const { violation, objectives } = parent;
    const isEqual = own.violation === violation && own.objectives.every((value, k) => value === objectives[k]);
    return isEqual || compare(own, parent, polish.objective) < 0 ? own : parent;
  });
}
