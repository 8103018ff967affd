/** Who is better than whom where several objectives count, all of them the smaller the better; and who stands alone. */

/** What stands on a front: any list of objectives. */
export type Objectives = Float64Array;

/** a is nowhere worse than b. */
export function isAsGood(a: Objectives, b: Objectives): boolean {
  for (let k = 0; k < a.length; k++) if (!(a[k]! <= b[k]!)) return false;
  return true;
}

/** a is nowhere worse than b, and somewhere better. */
export const dominates = (a: Objectives, b: Objectives): boolean => isAsGood(a, b) && !isAsGood(b, a);

/** Indices of those that none dominates; of equals the first. In their order. */
export function nonDominated(all: readonly Objectives[]): number[] {
  let kept: number[] = [];
  all.forEach((own, i) => {
    if (kept.some((j) => isAsGood(all[j]!, own))) return;
    kept = kept.filter((j) => !dominates(own, all[j]!));
    kept.push(i);
  });
  return kept;
}

/**
 * Fronts, the best first, each a list of indices in their order: the first is dominated by none, the second by the first
 * only, and so on (Deb and others, "A fast and elitist multiobjective genetic algorithm: NSGA-II", IEEE TEVC 6, 2002).
 */
export function fronts(all: readonly Objectives[]): number[][] {
  const beatenBy = all.map(() => 0);
  const beats: number[][] = all.map(() => []);
  for (let i = 0; i < all.length; i++)
    for (let j = 0; j < i; j++) {
      const winner = dominates(all[i]!, all[j]!) ? i : dominates(all[j]!, all[i]!) ? j : null;
      if (winner === null) continue;
      const loser = i + j - winner;
      beats[winner]!.push(loser);
      beatenBy[loser]!++;
    }
  const found: number[][] = [];
  let front = all.flatMap((_, i) => (beatenBy[i] === 0 ? [i] : []));
  while (front.length > 0) {
    found.push(front);
    const next = front.flatMap((i) => beats[i]!).filter((i) => --beatenBy[i]! === 0);
    front = next.sort((a, b) => a - b);
  }
  return found;
}

/**
 * Indices of `most` of them, in their order: the most crowded goes first, and the crowding is measured anew. The best of
 * each objective stay for as long as anything else is there. Of equally crowded ones the last goes. Crowded is whose
 * product of the ways to its nearest neighbours, one for each objective, is small (Kukkonen and Deb, "A fast and effective
 * method for pruning of non-dominated solutions in many-objective problems", PPSN IX, 2006): the crowding distance of
 * NSGA-II misjudges more than two objectives.
 */
export function uncrowded(all: readonly Objectives[], most: number): number[] {
  let kept = all.map((_, i) => i);
  if (kept.length <= most) return kept;
  const ways = waysBetween(all);
  const ends = endsOf(all);
  const near = kept.map((i) => nearest(ways[i]!, kept, i, all[0]!.length));
  const room = kept.map((i) => near[i]!.reduce((product, j) => product * ways[i]![j]!, 1));
  while (kept.length > most) {
    const free = kept.filter((i) => !ends.has(i));
    const gone = (free.length > 0 ? free : kept).reduce((least, i) => (room[i]! <= room[least]! ? i : least));
    kept = kept.filter((i) => i !== gone);
    for (const i of kept) {
      if (!near[i]!.includes(gone)) continue;
      near[i] = nearest(ways[i]!, kept, i, all[0]!.length);
      room[i] = near[i].reduce((product, j) => product * ways[i]![j]!, 1);
    }
  }
  return kept;
}

/** Squares of the ways between any two, in shares of the front's length along each objective. */
function waysBetween(all: readonly Objectives[]): Float64Array[] {
  const shares = [...all[0]!].map((_, k) => {
    const values = all.map((point) => point[k]!);
    const length = values.reduce((a, b) => Math.max(a, b)) - values.reduce((a, b) => Math.min(a, b));
    return length > 0 ? 1 / length : 0;
  });
  const scaled = all.map((point) => point.map((value, k) => value * shares[k]!));
  const ways = all.map(() => new Float64Array(all.length));
  for (let i = 0; i < all.length; i++)
    for (let j = 0; j < i; j++) {
      let way = 0;
      for (let k = 0; k < shares.length; k++) way += (scaled[i]![k]! - scaled[j]![k]!) ** 2;
      ways[i]![j] = ways[j]![i] = way;
    }
  return ways;
}

/** The best of each objective, the first of equals. */
const endsOf = (all: readonly Objectives[]): Set<number> =>
  new Set([...all[0]!].map((_, k) => all.reduce((least, own, i) => (own[k]! < all[least]![k]! ? i : least), 0)));

/** The `count` of `kept` that are nearest to i, the nearest first, i itself apart. */
function nearest(ways: Float64Array, kept: readonly number[], i: number, count: number): number[] {
  const found: number[] = [];
  for (const j of kept) {
    if (j === i || (found.length === count && ways[j]! >= ways[found.at(-1)!]!)) continue;
    const at = found.findIndex((other) => ways[j]! < ways[other]!);
    found.splice(at < 0 ? found.length : at, 0, j);
    if (found.length > count) found.pop();
  }
  return found;
}
