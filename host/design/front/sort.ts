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
 * Fronts, the best first, each a list of indices in their order: the first is dominated by none, the second by the first only, and
 * so on (Deb and others, "A fast and elitist multiobjective genetic algorithm: NSGA-II", IEEE TEVC 6, 2002).
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
 * How alone each stands: the sum over the objectives of the way from the neighbour on one side to that on the other, in shares of the
 * front's length; infinite at its ends (the crowding distance of the same paper).
 */
export function crowding(all: readonly Objectives[]): number[] {
  const room = all.map(() => 0);
  for (let k = 0; k < (all[0]?.length ?? 0); k++) {
    const order = all.map((_, i) => i).sort((a, b) => all[a]![k]! - all[b]![k]! || a - b);
    const at = (place: number): number => all[order[place]!]![k]!;
    const length = at(order.length - 1) - at(0);
    room[order[0]!] = room[order.at(-1)!] = Infinity;
    if (!(length > 0)) continue;
    for (let place = 1; place < order.length - 1; place++)
      room[order[place]!]! += (at(place + 1) - at(place - 1)) / length;
  }
  return room;
}

/**
 * Indices of `most` of them, in their order: the most crowded goes first, and the crowding is measured anew (Kukkonen and Deb,
 * "Improved pruning of non-dominated solutions based on crowding distance", CEC 2006). Of equally crowded ones the last goes.
 */
export function uncrowded(all: readonly Objectives[], most: number): number[] {
  const kept = all.map((_, i) => i);
  while (kept.length > most) {
    const room = crowding(kept.map((i) => all[i]!));
    let least = 0;
    for (let i = 1; i < room.length; i++) if (room[i]! <= room[least]!) least = i;
    kept.splice(least, 1);
  }
  return kept;
}
