/** What the drawing says of joints and points, in the units of rig files. */
import { type Joint, type Vec3, toShown } from '../../rig/rig.ts';
import { short } from '../../rig/words.ts';

/** With a true minus. */
const minus = (words: string): string => words.replaceAll('-', '\u2212');

/** As fine as a workshop measures: a hundredth, with its unit on the same line. */
export const mm = (value: number): string => minus(`${short(value, 2)}\u00a0mm`);
export const deg = (value: number): string => minus(`${short(value, 2)}\u00a0deg`);
export const kg = (value: number): string => `${short(value, 4)}\u00a0kg`;
export const at = (point: Vec3): string => minus(`[${point.map((value) => short(value, 2)).join(',\u00a0')}]\u00a0mm`);

/** The way a longer pulse moves a joint. */
export const senseWords = ({ sense }: Joint): string => (sense === 1 ? 'to plus' : 'to minus');

export const rangeWords = (joint: Joint): string =>
  minus(`${short(toShown(joint, joint.lo))} to ${short(toShown(joint, joint.hi))} ${joint.unit}`);

/** Which way a carrying axis turns what is in front of, on or beside it: x forward, y left, z up, right-hand rule. */
const WAYS = [
  ['it leans to its right', 'it leans to its left'],
  ['what is in front goes down', 'what is in front goes up'],
  ['it turns to its left', 'it turns to its right'],
] as const;

/** Which way plus moves a joint. */
export function plusWords(joint: Joint, drive: 'crank' | 'linear' | undefined): string {
  if (joint.kind === 'leg') return drive === 'linear' ? 'longer' : 'the crank’s tip toward the moving plate';
  if (!joint.axis) return 'as the limits of the rig file count';
  const { along } = joint.axis;
  const most = along.reduce((best, value, k) => (Math.abs(value) > Math.abs(along[best] ?? 0) ? k : best), 0);
  return WAYS[most]?.[(along[most] ?? 0) > 0 ? 0 : 1] ?? '';
}
