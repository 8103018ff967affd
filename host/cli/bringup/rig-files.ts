/** The files of a bring-up: the rig that it writes into, tables that it reads, and readings that it keeps beside the rig. */
import { readFileSync } from 'node:fs';
import type { BenchFiles } from '../../bringup/session/options.ts';
import { VerbEnded } from '../../bringup/verb.ts';
import type { parseVerb } from '../../bringup/verbs.ts';
import { faultWords } from '../faults.ts';
import { refusedInput } from '../files.ts';
import { writeAll } from '../outputs.ts';
import { differenceLines, readingsPath, writeRigEdit } from '../rig-edit.ts';
import { shownName } from '../stdin.ts';

export interface RigFiles extends BenchFiles {
  /** Shows the difference, then writes. Throws VerbEnded where the file cannot be written, or is no longer the one that was read. */
  keep(before: string, after: string): string;
}

export const rigFiles = (path: string, tell: (words: string) => void): RigFiles => ({
  keep(before, after) {
    const file = shownName(path);
    if (readNow(path) !== before)
      throw new VerbEnded(
        `${file} was changed by somebody else meanwhile: nothing is written. Start again with the new one`,
      );
    tell(`${file}:\n${differenceLines(before, after).join('\n')}`);
    const written = writeRigEdit(path, before, after);
    if ('fault' in written) throw new VerbEnded(`${written.path}: ${written.fault}; nothing is written`);
    const kept = shownName(written.kept);
    tell(`Written; the old file is ${kept}.`);
    return kept;
  },
  read: readNow,
  keepReadings(text) {
    const kept = readingsPath(path);
    const fault = writeAll([{ path: kept, text }], false);
    if (fault) throw new VerbEnded(`${fault.path}: ${fault.fault}; what was read is not kept`);
    return shownName(kept);
  },
});

/** Throws VerbEnded, in words. */
function readNow(path: string): string {
  const fault = refusedInput(path);
  if (fault !== null) throw new VerbEnded(`${shownName(path)}: ${fault}`);
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    throw new VerbEnded(`${shownName(path)}: ${faultWords(error)}`);
  }
}

/** Answers in a file: numbers with spaces, commas or lines between them. Throws VerbEnded. */
const answersIn = (path: string): string[] =>
  readNow(path)
    .split(/[\s,;]+/)
    .filter((answer) => answer !== '');

type Read = ReturnType<typeof parseVerb>;

/** Words with the answers of their file; or why it cannot be read. */
export function withAnswers(words: Read): Read {
  if ('problem' in words || words.readingsFile === null) return words;
  try {
    return { ...words, readings: [...words.readings, ...answersIn(words.readingsFile)] };
  } catch (error) {
    if (error instanceof VerbEnded) return { problem: error.message };
    throw error;
  }
}
