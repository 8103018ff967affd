/** The files of a command that reads a rig and a stream and writes a new stream and a page, before any of them is opened. */
import { refusedInput } from './files.ts';
import { type Problem, problemOf } from './output.ts';
import { isSameFile, refusedOutput, refusedPage } from './outputs.ts';
import { sharedStdin } from './stdin.ts';

interface Outputs {
  readonly output?: string;
  readonly report?: string;
  readonly force?: true;
}

/** All that is wrong with their names, the inputs first; empty: nothing. */
export function refusedFiles(rigPath: string, streamPath: string, { output, report, force }: Outputs): Problem[] {
  const inputs = [rigPath, streamPath];
  const told = (path: string, words: string | null): Problem[] => (words === null ? [] : [problemOf(path, words)]);
  return [
    ...sharedStdin(inputs, 'the rig and the stream'),
    ...[...new Set(inputs)].flatMap((path) => told(path, refusedInput(path))),
    ...(output === undefined ? [] : told(output, refusedOutput(output, force === true, inputs))),
    ...(report === undefined ? [] : told(report, refusedPage(report, force === true, inputs))),
    ...(isSameFile(report, output)
      ? [problemOf('--report', 'the page and the new stream cannot be the same file')]
      : []),
  ];
}
