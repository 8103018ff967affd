/** A front of hundreds of points as the few that somebody chooses between. */
import { type Objectives, nonDominated } from './sort.ts';

export interface ThinOptions {
  /** At most so many. */
  readonly most?: number;
  /**
   * By objective: what nobody would tell apart, in its own unit. Two points that differ by less in all of them are one
   * choice.
   */
  readonly alike?: readonly number[];
  /** Points that are one choice for another reason. */
  readonly same?: (i: number, j: number) => boolean;
  /** Points that stay before all others are looked at, in their order. */
  readonly first?: readonly number[];
}

const MOST = 8;
/** Shares of the front's length that make no difference where `alike` does not say so. */
const ALIKE_SHARE = 0.02;

/**
 * Indices of the points that stay, the best of the first objective first. The best of each objective always stays, or what
 * is alike to it; then, one after the other, whatever is farthest from all that stay, in shares of the front's length
 * along each objective (farthest-point sampling: Gonzalez, "Clustering to minimize the maximum intercluster distance",
 * 1985). Ties go to the earlier index.
 * @param all what is dominated is left out
 */
export function thinned(all: readonly Objectives[], options: ThinOptions = {}): number[] {
  const { most = MOST, alike, same = () => false, first = [] } = options;
  const left = nonDominated(all);
  const lengths = lengthsOf(left.map((i) => all[i]!));
  const scale = (value: number, k: number): number => (lengths[k]! > 0 ? value / lengths[k]! : 0);
  const apart = (i: number, j: number): number =>
    Math.hypot(...all[i]!.map((value, k) => scale(value - all[j]![k]!, k)));
  const isAlike = (i: number, j: number): boolean =>
    same(i, j) ||
    all[i]!.every(
      (value, k) => Math.abs(value - all[j]![k]!) < (alike?.[k] ?? ALIKE_SHARE * lengths[k]!) || value === all[j]![k],
    );
  const kept: number[] = first.slice(0, most);
  for (const end of endsOf(all, left)) if (kept.length < most && !kept.some((j) => isAlike(end, j))) kept.push(end);
  while (kept.length < most) {
    const fresh = left.filter((i) => !kept.some((j) => i === j || isAlike(i, j)));
    if (fresh.length === 0) break;
    const room = fresh.map((i) => Math.min(...kept.map((j) => apart(i, j))));
    kept.push(fresh[room.indexOf(Math.max(...room))]!);
  }
  return kept.sort((a, b) => all[a]![0]! - all[b]![0]! || a - b);
}

/** The best of each objective, each once. Of several, the one that is best in the other objectives, in their order. */
function endsOf(all: readonly Objectives[], left: readonly number[]): number[] {
  const count = left.length > 0 ? all[left[0]!]!.length : 0;
  const order = (k: number) => (a: number, b: number) => {
    const by = [k, ...Array.from({ length: count }, (_, j) => j)].find((j) => all[a]![j] !== all[b]![j]);
    return by === undefined ? a - b : all[a]![by]! - all[b]![by]!;
  };
  return [...new Set(Array.from({ length: count }, (_, k) => [...left].sort(order(k))[0]!))];
}

const lengthsOf = (front: readonly Objectives[]): number[] =>
  Array.from(front[0] ?? [], (_, k) => {
    const values = front.map((point) => point[k]!);
    return values.reduce((a, b) => Math.max(a, b)) - values.reduce((a, b) => Math.min(a, b));
  });
