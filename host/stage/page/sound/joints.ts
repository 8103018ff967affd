/** A rig's joints as a take's columns: where each stands at home, how far it goes, what a person calls it. */
import { POSE_KEYS, toDeg } from '../../../rig/rig.ts';
import { change, columns, history, lanes, rig, undo } from '../state.ts';
import type { Edit } from '../../take/edit.ts';
import { plain } from '../takes/view.ts';

/** Home, the limits, and the limit that is farther from home, deg; all 0 for a column that is no joint's. */
export function endsOf(column: string): {
  readonly home: number;
  readonly far: number;
  readonly lo: number;
  readonly hi: number;
} {
  const joint = rig.value?.joints.find(({ name }) => `${name}_deg` === column);
  if (!joint) return { home: 0, far: 0, lo: 0, hi: 0 };
  const { lo, hi, home } = joint;
  const far = hi - home >= home - lo ? hi : lo;
  return { home: toDeg(home), far: toDeg(far), lo: toDeg(lo), hi: toDeg(hi) };
}

/** Columns that are a joint's own, not the platform's. */
export const jointColumns = (): string[] =>
  columns.value.filter((name) => rig.value?.joints.some((joint) => `${joint.name}_deg` === name));

/** What a joint does: its lane, and its own name where that says more. */
export function doing(column: string): string {
  const lane = lanes.value.find((one) => one.columns.includes(column))?.name ?? '';
  return lane.toLowerCase() === plain(column) ? lane : `${lane}: ${plain(column)}`;
}

/** All columns of the platform: its legs share every movement, so they share how late they are. */
export const headColumns = (): string[] => columns.value.filter((name) => POSE_KEYS.some((key) => key === name));

/** Makes an edit in the place of the last one, where that was the same with other figures: one edit in the end. */
export function renewed(words: string, edit: () => Edit): void {
  if (history.value.past.at(-1)?.words === words) undo();
  change(edit(), words);
}
