/** Whether bodies of the platform touch where its travel begins and ends, in words. Only where the rig file gives their sizes. */
import { roomAt } from '../physics/kinematics/bodies.ts';
import { inverse } from '../physics/kinematics/inverse.ts';
import { poseAt } from '../physics/kinematics/travel.ts';
import { type Clearance, usualClearance } from '../rig/clearance.ts';
import type { Pose, Rig } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import { nameOf, shownAs, unitAlong, unitOf } from './axes.ts';
import { type Way, freeAlong } from './free-travel.ts';
import type { Both } from './travels.ts';
import { together } from './words.ts';

interface Place {
  readonly pose: Pose;
  readonly words: string;
  /** Which ends there; null: where travel begins. */
  readonly way: Way | null;
}

/**
 * A sentence for each two bodies that come nearer than the file's gap, told where they are nearest; and one that says where each way
 * on which some do ends without. Empty without `platform.clearance`.
 */
export function touchWords({ platform }: Rig, from: Pose, travels: readonly Both[]): string[] {
  if (!platform?.clearance) return [];
  const clearance = usualClearance(platform.clearance);
  const worst = new Map<string, { readonly mm: number; readonly words: string }>();
  const tight: (Way | null)[] = [];
  for (const { pose, words, way } of placesOf(from, travels)) {
    const legs = inverse(platform, pose);
    if (!legs) continue;
    const { mm, between } = roomAt(platform, clearance, legs, pose);
    const pair = between.join(' and ');
    if (!(mm < clearance.gap_mm)) continue;
    tight.push(way);
    if (mm >= (worst.get(pair)?.mm ?? Infinity)) continue;
    worst.set(pair, { mm, words: `${pair} ${roomWords(mm)} ${words}; ${asksFor(clearance)}.` });
  }
  const ends = tight.flatMap((way) => (way ? [endWords(way, freeAlong(platform, clearance, way).by)] : []));
  const free = ends.length > 0 && !tight.includes(null);
  return [
    ...[...worst.values()].map(({ words }) => words),
    ...(free ? [`Travel on which no two bodies come nearer than gap_mm ends at ${together(ends)}.`] : []),
  ];
}

/** The two bodies that come too near at one pose, in a sentence; null: none do, or the rig file gives no `platform.clearance`. */
export function touchAt({ platform }: Rig, pose: Pose): string | null {
  const legs = platform?.clearance && inverse(platform, pose);
  if (!legs) return null;
  const clearance = usualClearance(platform.clearance);
  const { mm, between } = roomAt(platform, clearance, legs, pose);
  return mm < clearance.gap_mm ? `${between.join(' and ')} ${roomWords(mm)}; ${asksFor(clearance)}.` : null;
}

const roomWords = (mm: number): string =>
  mm > 0 ? `come within ${short(mm, 1)} mm of each other` : `touch (${short(-mm, 1)} mm into each other)`;

const asksFor = ({ gap_mm }: Clearance): string => `gap_mm asks for ${short(gap_mm, 1)} mm`;

/** To a tenth, never beyond. */
function endWords({ axis, sign }: Way, by: number): string {
  const told = (sign * Math.floor(10 * shownAs(axis, by))) / 10;
  return `${short(told, 1)} ${unitOf(axis)} of ${nameOf(axis)}`;
}

const placesOf = (from: Pose, travels: readonly Both[]): Place[] => [
  { pose: from, words: 'where travel begins', way: null },
  ...travels.flatMap(({ axis, minus, plus }) =>
    ([-1, 1] as const).map((sign): Place => {
      const most = (sign < 0 ? minus : plus).by;
      const by = sign * most;
      return {
        pose: poseAt(from, unitAlong(axis), by),
        words: `at ${short(shownAs(axis, by), 1)} ${unitOf(axis)} of ${nameOf(axis)}`,
        way: { from, axis, sign, most },
      };
    }),
  ),
];
