/** Poses of what a want asks: where its travels end, and their corners. mm, rad, from home. */
import { AXES } from '../reach/axes.ts';
import { HOME, type Pose } from '../rig/rig.ts';
import type { Want } from './want/want.ts';

/** The 64 corners of all travels at once, times `share`. */
export function cornersOf({ must }: Want, share: number): Pose[] {
  const ends = must.travel.map(({ minus, plus }) => [...new Set([minus * share, plus * share])]);
  return ends.reduce<number[][]>(
    (all, both) => all.flatMap((pose) => both.map((end) => [...pose, end])),
    [[]],
  ) as unknown as Pose[];
}

/** Where each travel that is asked ends. */
export function endsOf({ must }: Want): Pose[] {
  return AXES.flatMap((axis): Pose[] => {
    const { minus, plus } = must.travel[axis]!;
    return [minus, plus]
      .filter((by) => by !== 0)
      .map((by) => HOME.map((_, k) => (k === axis ? by : 0)) as unknown as Pose);
  });
}
