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

/** Where each travel that is asked ends, times `share`. */
export const endsOf = ({ must }: Want, share = 1): Pose[] =>
  AXES.flatMap((axis): Pose[] => {
    const { minus, plus } = must.travel[axis]!;
    const ways = [minus, plus].filter((by) => by !== 0);
    return ways.map((by) => HOME.map((_, k) => (k === axis ? by * share : 0)) as unknown as Pose);
  });
