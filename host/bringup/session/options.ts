/** What a bench is opened with. */
import type { Target } from '../../replay/target.ts';
import type { RigFiles } from '../../rig/read.ts';

/** Files that a verb reads and leaves behind. Both throw VerbEnded, in words. */
export interface BenchFiles {
  read(path: string): string;
  /** Keeps a table of readings beside the rig. @returns its name. */
  keepReadings(text: string): string;
}

export interface BenchOptions {
  readonly target: Target;
  /** Text of the rig file, without errors. */
  readonly text: string;
  /** Hands out the files that the rig names. */
  readonly named?: RigFiles;
  /** Puts the new text in the place of the old one, and returns what keeps the old one; without, `bench.text` alone changes. Throws VerbEnded. */
  readonly keep?: (before: string, after: string) => string;
  /** Waits for real milliseconds: what a target without a clock of its own is paced by while a question waits. */
  readonly sleep?: (ms: number) => Promise<void>;
  /** Somebody watches: motion, too, takes its time on a target without a clock of its own. */
  readonly inRealTime?: boolean;
  /** Without: verbs read none, and leave none behind. */
  readonly files?: BenchFiles;
  /** Why the rig is not for the board that answers with this number of its kind, in words; null: it is. */
  readonly misfit?: (board: number) => string | null;
}
