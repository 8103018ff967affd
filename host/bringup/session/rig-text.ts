/** The rig file's text during a bring-up, and the rig that it says. */
import { type FigureChange, withFigures } from '../../rig/edit.ts';
import { type JointFigures, withJointFigures } from '../../rig/joint-edit.ts';
import { type RigFiles, readRig } from '../../rig/read.ts';
import type { Rig } from '../../rig/rig.ts';
import { VerbEnded } from '../verb.ts';

const BY = 'measured by posewright';

/** What the rig file is to say: of a joint, whose entry is made where there is none, or at a place that is there. */
export type RigChange = JointFigures | FigureChange;

interface RigText {
  readonly text: string;
  readonly rig: Rig;
}

/** The text as a rig, or in words what is wrong with it. */
function rigOf(text: string, named?: RigFiles): RigText | { readonly problem: string } {
  const { rig, problems } = readRig(text, undefined, named);
  const wrong = problems.find(({ severity }) => severity === 'error');
  if (rig && !wrong) return { text, rig };
  return { problem: wrong ? `${wrong.path}: ${wrong.message}` : 'it is no rig' };
}

const withChange = (text: string, change: RigChange): string | null =>
  'joint' in change ? withJointFigures(text, change, BY) : withFigures(text, [change], BY);

/** The text with these figures, which must be a rig; or why it cannot be. */
function changed(
  text: string,
  changes: readonly RigChange[],
  named?: RigFiles,
): RigText | { readonly problem: string } {
  let now: string | null = text;
  for (const change of changes) now = now === null ? null : withChange(now, change);
  return now === null
    ? { problem: 'a figure is shared (a YAML anchor), or there is no place for it: give it a place of its own' }
    : rigOf(now, named);
}

export type Keep = (before: string, after: string) => string;

/** The text as it becomes, always a rig without errors. */
export class RigDraft {
  private now: RigText;
  private readonly keepIn: Keep | null;
  private readonly named: RigFiles | undefined;

  private constructor(now: RigText, keepIn: Keep | null, named: RigFiles | undefined) {
    [this.now, this.keepIn, this.named] = [now, keepIn, named];
  }

  /**
   * @param keepIn puts a new text in the place of the old one, and returns what keeps the old one; throws VerbEnded.
   * @param named hands out the files that the rig names
   */
  static of(text: string, keepIn: Keep | null = null, named?: RigFiles): RigDraft | { readonly problem: string } {
    const now = rigOf(text, named);
    return 'problem' in now ? now : new RigDraft(now, keepIn, named);
  }

  get rig(): Rig {
    return this.now.rig;
  }
  get text(): string {
    return this.now.text;
  }

  /** Takes figures into the text. Throws VerbEnded, in words, where it would be no rig. */
  change(changes: readonly RigChange[]): void {
    const after = changed(this.text, changes, this.named);
    if ('problem' in after)
      throw new VerbEnded(`nothing is written, since the rig would not be right: ${after.problem}`);
    this.now = after;
  }

  /** Whether the rig would be right with these figures. */
  mayChange(changes: readonly RigChange[]): boolean {
    return !('problem' in changed(this.text, changes, this.named));
  }

  /** Writes what changed since `before`. @returns what keeps the old text; null: nothing changed. */
  keep(before: string): string | null {
    if (this.text === before) return null;
    return this.keepIn ? this.keepIn(before, this.text) : 'rig';
  }

  /** Back to a text, when what was written could not be kept. */
  restore(text: string): void {
    const now = rigOf(text, this.named);
    if (!('problem' in now)) this.now = now;
  }
}
