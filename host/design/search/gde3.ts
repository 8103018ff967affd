/**
 * GDE3 for several objectives: differential evolution whose child takes its parent's place where it is at least as good,
 * stands beside it where neither is better, and a crowd that has grown so is cut back by fronts and crowding (Kukkonen and
 * Lampinen, "GDE3: the third evolution step of generalized differential evolution", CEC 2005). Departure: between two
 * infeasible points the smaller sum of violations wins, where GDE3 asks for each constraint at least as good: with a dozen
 * of them hardly any child is.
 */
import { dominates, fronts, isAsGood, uncrowded } from '../front/sort.ts';
import type { Draws } from './draws.ts';
import { type Point, compare } from './point.ts';

export interface Gde3 {
  readonly kind: 'front';
  crowd: Point[];
}

/** Points of a generation. */
const CROWD = 60;

/** @param spread what the crowd is picked from */
export const gde3From = (spread: readonly Point[]): Gde3 => ({ kind: 'front', crowd: selected(spread, CROWD) });

/** One child for each, by DE/rand/1/bin (Storn and Price, "Differential evolution", J. Global Optimization 11, 1997). */
export function askGde3({ crowd }: Gde3, draws: Draws): Float64Array[] {
  return crowd.map((parent, i) => {
    const [a, b, c] = others(crowd.length, i, draws).map((k) => crowd[k]!.x) as [
      Float64Array,
      Float64Array,
      Float64Array,
    ];
    return child(parent.x, a, b, c, draws);
  });
}

/** Three that differ from each other and from i where there are as many. */
export function others(count: number, i: number, draws: Draws): number[] {
  const found: number[] = [];
  while (found.length < 3) {
    const k = draws.below(count);
    if (count <= 3 || (k !== i && !found.includes(k))) found.push(k);
  }
  return found;
}

/**
 * base + f · (b − c), crossed with the parent. How far and how much of it is drawn anew for each child: a long step keeps
 * a crowd from collapsing, a short one lets it settle, and figures that depend on each other have to be changed together.
 */
export function child(
  parent: Float64Array,
  base: Float64Array,
  b: Float64Array,
  c: Float64Array,
  draws: Draws,
): Float64Array {
  const f = 0.3 + 0.6 * draws.uniform();
  const share = draws.uniform() < 0.5 ? 0.9 : 0.3;
  const always = draws.below(parent.length);
  return parent.map((own, i) => {
    const takes = draws.uniform() < share || i === always;
    if (!takes) return own;
    const value = base[i]! + f * (b[i]! - c[i]!);
    // Half way to the wall that it would have crossed: walls are where good designs often stand.
    return value < 0 ? own / 2 : value > 1 ? (1 + own) / 2 : value;
  });
}

/** @param children one for each of the crowd, in its order */
export function tellGde3(gde3: Gde3, children: readonly Point[]): void {
  const next = gde3.crowd.flatMap((parent, i) => survivors(parent, children[i]!));
  gde3.crowd = selected(next, gde3.crowd.length);
}

function survivors(parent: Point, own: Point): Point[] {
  if (own.violation !== parent.violation) return own.violation < parent.violation ? [own] : [parent];
  if (dominates(parent.objectives, own.objectives)) return [parent];
  return isAsGood(own.objectives, parent.objectives) || own.violation > 0 ? [own] : [parent, own];
}

/** The best `most`: feasible ones by fronts, the last of these by crowding, then the others by violation. */
function selected(points: readonly Point[], most: number): Point[] {
  if (points.length <= most) return [...points];
  const feasible = points.filter(({ violation }) => violation === 0);
  const kept: Point[] = [];
  for (const front of fronts(feasible.map(({ objectives }) => objectives))) {
    const own = front.map((i) => feasible[i]!);
    kept.push(
      ...uncrowded(
        own.map(({ objectives }) => objectives),
        most - kept.length,
      ).map((i) => own[i]!),
    );
    if (kept.length === most) return kept;
  }
  const rest = points.filter(({ violation }) => violation > 0).sort((a, b) => compare(a, b, 0));
  return [...kept, ...rest.slice(0, most - kept.length)];
}
