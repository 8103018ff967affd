/** Reads the rig that a command was given, and says how many warnings there are of it. */
import type { Path } from '../rig/problem.ts';
import { readRig } from '../rig/read.ts';
import type { Rig, Servo } from '../rig/rig.ts';
import { counted } from '../rig/words.ts';
import { readText } from './files.ts';
import type { Io } from './io.ts';
import { filesBeside } from './mesh-files.ts';
import { type Problem, problemOf } from './output.ts';
import { shownName } from './stdin.ts';

export interface RigInput {
  /** Null when a problem is an error. */
  readonly rig: Rig | null;
  /** The classes of the file, whether a joint has them or not. */
  readonly servos: readonly Servo[];
  readonly problems: readonly Problem[];
  /** For whoever asks about the file. */
  readonly advice: readonly Problem[];
  /** The line of a key of the file; 0: the whole file. */
  readonly lineOf: (path: Path) => number;
}

/** The rig in a file, or on standard input for '-', with all that is wrong with it. */
export async function readRigFile(path: string, io: Io): Promise<RigInput> {
  const file = shownName(path);
  const read = await readText(path, io);
  if ('fault' in read)
    return { rig: null, servos: [], problems: [problemOf(file, read.fault)], advice: [], lineOf: () => 0 };
  const { rig, servos, problems, advice, lineOf } = readRig(read.text, undefined, filesBeside(path));
  const bad = problems.some((problem) => problem.severity === 'error');
  const inFile = (problem: Omit<Problem, 'file'>): Problem => ({ file, ...problem });
  return { rig: bad ? null : rig, servos, problems: problems.map(inFile), advice: advice.map(inFile), lineOf };
}

/**
 * One line in place of the warnings of reading a rig without errors, on standard error: `check` tells them, and nobody wants them
 * again before every answer.
 */
export function countWarnings(io: Io, path: string, { length }: readonly Problem[]): void {
  if (length === 0) return;
  const file = shownName(path);
  const word = path === '-' || /^[\w./-]+$/.test(file) ? path : `"${file}"`;
  io.stderr.write(`${counted(length, 'warning')}: posewright check ${word} shows ${length === 1 ? 'it' : 'them'}\n`);
}
