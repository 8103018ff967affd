/** Lanes of a time line: what the character does, each with the columns that do it. */
import { POSE_KEYS, type Rig } from '../../rig/rig.ts';
import { streamJoints } from '../../stream/columns.ts';

export interface Lane {
  readonly name: string;
  /** In the order of a stream's columns. */
  readonly columns: readonly string[];
}

const LOOK = ['pitch_deg', 'yaw_deg'];
/** Names that joints are given, in English, and the lane they make; another joint has a lane of its own. */
const LANES: readonly (readonly [RegExp, string])[] = [
  [/nod|neck/, 'Nod'],
  [/jaw|beak|mouth|lip|tongue|bill/, 'Mouth'],
  [/lid|blink/, 'Lids'],
  [/eye|gaze/, 'Eyes'],
  [/brow/, 'Brows'],
  [/ear|crest/, 'Ears'],
  [/wing|arm|hand|paw/, 'Arms'],
  [/tail/, 'Tail'],
];

const laneName = (joint: string): string =>
  LANES.find(([pattern]) => pattern.test(joint.toLowerCase()))?.[1] ??
  joint.charAt(0).toUpperCase() + joint.slice(1).replaceAll('_', ' ');

/** The rig's lanes: Look and Lean of its platform, then its joints by what they move. */
export function lanesOf(rig: Rig): Lane[] {
  const lanes = new Map<string, string[]>();
  const add = (name: string, column: string): void => void lanes.set(name, [...(lanes.get(name) ?? []), column]);
  if (rig.platform) for (const key of POSE_KEYS) add(LOOK.includes(key) ? 'Look' : 'Lean', key);
  for (const joint of streamJoints(rig)) add(laneName(joint), `${joint}_deg`);
  const first = ['Look', 'Lean', 'Nod', 'Mouth', 'Lids'];
  return [...lanes]
    .map(([name, columns]): Lane => ({ name, columns }))
    .sort((a, b) => rank(first, a.name) - rank(first, b.name));
}

const rank = (first: readonly string[], name: string): number =>
  first.includes(name) ? first.indexOf(name) : first.length;

/** All columns of the rig's streams, but the time, in their order. */
export const columnsOf = (rig: Rig): string[] => [
  ...(rig.platform ? POSE_KEYS : []),
  ...streamJoints(rig).map((joint) => `${joint}_deg`),
];
