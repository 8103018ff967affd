/** What a search has found so far: every feasible point that none dominates, up to a number, and else what comes nearest. */
import { dominates, isAsGood, uncrowded } from '../front/sort.ts';
import { type Point, compare } from './point.ts';

export interface Archive {
  /** Feasible, none dominating another, no two equal in every objective; in the order of their finding. */
  points: Point[];
  /** The best so far by violation, or by the first objective where that is 0. */
  nearest: Point | null;
  /** Feasible points seen. */
  feasible: number;
}

/**
 * More than this many points and the most crowded go; the best of each objective stand at the ends, and stay. The slack
 * spares the sorting at every point.
 */
const MOST = 200;
const SLACK = 40;

export const emptyArchive = (): Archive => ({ points: [], nearest: null, feasible: 0 });

export function keep(archive: Archive, point: Point): void {
  if (!archive.nearest || compare(point, archive.nearest, 0) < 0) archive.nearest = point;
  if (point.violation > 0) return;
  archive.feasible++;
  const own = point.objectives;
  if (archive.points.some(({ objectives }) => isAsGood(objectives, own))) return;
  archive.points = archive.points.filter(({ objectives }) => !dominates(own, objectives));
  archive.points.push(point);
  if (archive.points.length > MOST + SLACK) trim(archive);
}

function trim(archive: Archive): void {
  const kept = uncrowded(
    archive.points.map(({ objectives }) => objectives),
    MOST,
  );
  archive.points = kept.map((i) => archive.points[i]!);
}
