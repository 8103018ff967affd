/** Whether bodies of the platform touch where its travel begins and ends, in words. Only where the rig file gives their sizes. */
import { roomAt } from '../physics/kinematics/bodies.ts';
import { inverse } from '../physics/kinematics/inverse.ts';
import { poseAt } from '../physics/kinematics/travel.ts';
import { usualClearance } from '../rig/clearance.ts';
import type { Pose, Rig } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import { nameOf, shownAs, unitAlong, unitOf } from './axes.ts';
import type { Both } from './travels.ts';

interface Place {
  readonly pose: Pose;
  readonly words: string;
}

/** A sentence for each two bodies that come nearer than the file's gap, told where they are nearest. Empty without `platform.clearance`. */
export function touchWords({ platform }: Rig, from: Pose, travels: readonly Both[]): string[] {
  if (!platform?.clearance) return [];
  const clearance = usualClearance(platform.clearance);
  const worst = new Map<string, { readonly mm: number; readonly words: string }>();
  for (const { pose, words } of placesOf(from, travels)) {
    const legs = inverse(platform, pose);
    if (!legs) continue;
    const { mm, between } = roomAt(platform, clearance, legs, pose);
    const pair = between.join(' and ');
    if (!(mm < clearance.gap_mm) || mm >= (worst.get(pair)?.mm ?? Infinity)) continue;
    const room =
      mm > 0 ? `come within ${short(mm, 1)} mm of each other` : `touch (${short(-mm, 1)} mm into each other)`;
    worst.set(pair, { mm, words: `${pair} ${room} ${words}; gap_mm asks for ${short(clearance.gap_mm, 1)} mm.` });
  }
  return [...worst.values()].map(({ words }) => words);
}

const placesOf = (from: Pose, travels: readonly Both[]): Place[] => [
  { pose: from, words: 'where travel begins' },
  ...travels.flatMap(({ axis, minus, plus }) =>
    ([-1, 1] as const).map((sign): Place => {
      const by = sign * (sign < 0 ? minus : plus).by;
      return {
        pose: poseAt(from, unitAlong(axis), by),
        words: `at ${short(shownAs(axis, by), 1)} ${unitOf(axis)} of ${nameOf(axis)}`,
      };
    }),
  ),
];
