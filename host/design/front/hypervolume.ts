/** How much a front dominates, up to a reference point: one number for how good a whole front is. */
import { type Objectives, nonDominated } from './sort.ts';

/**
 * Exact, for any number of objectives, meant for up to 5: the volume between the front and `reference`. What is not better
 * than the reference in every objective counts nothing. By exclusive volumes: each point adds its box less what those
 * after it dominate of that box (While, Bradstreet and Barone, "A fast way of calculating exact hypervolumes", IEEE TEVC
 * 16, 2012); in two dimensions by a sweep, as Fonseca, Paquete and López-Ibáñez ("An improved dimension-sweep algorithm
 * for the hypervolume indicator", CEC 2006).
 */
export function hypervolume(front: readonly Objectives[], reference: Objectives): number {
  const inside = front.filter((point) => point.every((value, k) => value < reference[k]!));
  const points = nonDominated(inside).map((i) => inside[i]!);
  const last = reference.length - 1;
  points.sort((a, b) => b[last]! - a[last]!);
  return reference.length === 2 ? swept(points, reference) : exclusive(points, reference);
}

/** @param points none dominating another, the worst in the last objective first */
function swept(points: readonly Objectives[], reference: Objectives): number {
  let volume = 0;
  points.forEach((point, i) => {
    const upTo = i === 0 ? reference[1]! : points[i - 1]![1]!;
    volume += (reference[0]! - point[0]!) * (upTo - point[1]!);
  });
  return volume;
}

function exclusive(points: readonly Objectives[], reference: Objectives): number {
  let volume = 0;
  points.forEach((point, i) => {
    const box = point.reduce((product, value, k) => product * (reference[k]! - value), 1);
    const shared = points.slice(i + 1).map((other) => other.map((value, k) => Math.max(value, point[k]!)));
    volume += box - (shared.length > 0 ? hypervolume(shared, reference) : 0);
  });
  return volume;
}
