/** The rig file's text during a bring-up, and the rig that it says. */
import { type JointFigures, withJointFigures } from '../../rig/joint-edit.ts';
import { type RigFiles, readRig } from '../../rig/read.ts';
import type { Rig } from '../../rig/rig.ts';

const BY = 'measured by posewright';

export interface RigText {
  readonly text: string;
  readonly rig: Rig;
}

/** The text as a rig, or in words what is wrong with it. */
export function rigOf(text: string, files?: RigFiles): RigText | { readonly problem: string } {
  const { rig, problems } = readRig(text, undefined, files);
  const wrong = problems.find(({ severity }) => severity === 'error');
  if (rig && !wrong) return { text, rig };
  return { problem: wrong ? `${wrong.path}: ${wrong.message}` : 'it is no rig' };
}

/** The text with these figures, which must be a rig; or why it cannot be. */
export function changed(
  text: string,
  changes: readonly JointFigures[],
  files?: RigFiles,
): RigText | { readonly problem: string } {
  let now: string | null = text;
  for (const change of changes) now = now === null ? null : withJointFigures(now, change, BY);
  return now === null
    ? { problem: 'a figure is shared (a YAML anchor), or there is no place for it: give it a place of its own' }
    : rigOf(now, files);
}
