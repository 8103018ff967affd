/** A rig file that a command changes: the difference shown first, the old file kept beside it, both written whole or not at all. */
import { existsSync, lstatSync, realpathSync } from 'node:fs';
import { faultWords } from './faults.ts';
import { Output, type Unwritten, refusedOutput, writeAll } from './outputs.ts';

/** More lines than any rig has are not compared line by line. */
const MOST_LINES = 3000;

/**
 * Lines that go (`-`) and lines that come (`+`), each with its number in the old or the new text, in the order of the file: by the
 * longest common subsequence (Wagner and Fischer 1974).
 */
export function differenceLines(before: string, after: string): string[] {
  const [a, b] = [before.split(/\r?\n/), after.split(/\r?\n/)];
  if (a.length > MOST_LINES || b.length > MOST_LINES)
    return [`${String(b.length)} lines: too many to show what changed`];
  const common = commonLengths(a, b);
  const lines: string[] = [];
  for (let i = 0, j = 0; i < a.length || j < b.length;) {
    if (i < a.length && j < b.length && a[i] === b[j]) {
      i++;
      j++;
    } else if (j >= b.length || (i < a.length && common(i + 1, j) >= common(i, j + 1))) {
      lines.push(`- ${String(i + 1)}: ${a[i++]!}`);
    } else lines.push(`+ ${String(j + 1)}: ${b[j++]!}`);
  }
  return lines;
}

/** How many lines the rest of `a` from i and the rest of `b` from j have in common. */
function commonLengths(a: readonly string[], b: readonly string[]): (i: number, j: number) => number {
  const wide = b.length + 1;
  const table = new Uint16Array((a.length + 1) * wide);
  for (let i = a.length - 1; i >= 0; i--)
    for (let j = b.length - 1; j >= 0; j--)
      table[i * wide + j] =
        a[i] === b[j]
          ? table[(i + 1) * wide + j + 1]! + 1
          : Math.max(table[(i + 1) * wide + j]!, table[i * wide + j + 1]!);
  return (i, j) => table[i * wide + j]!;
}

/** `owl.before-1.yaml` for `owl.yaml`, with the first number that is free. */
export const keptPath = (path: string): string => {
  const [, stem = path, end = ''] = /^(.*?)(\.ya?ml)?$/s.exec(path) ?? [];
  return firstFree(`${stem}.before-`, end);
};

/** `owl.readings-1.csv` for `owl.yaml`, with the first number that is free. */
export const readingsPath = (path: string): string => firstFree(`${path.replace(/\.ya?ml$/, '')}.readings-`, '.csv');

function firstFree(start: string, end: string): string {
  for (let n = 1; ; n++) if (!existsSync(`${start}${String(n)}${end}`)) return `${start}${String(n)}${end}`;
}

/** Why the rig at `path` may not be written over, before any work is done; null: it may. */
export const refusedRigEdit = (path: string): string | null => refusedOutput(path, true, []);

/**
 * Writes `after` in the place of `before`, which is kept beside it, beside the file itself where `path` is a link.
 * @returns the name of the kept file, or what could not be written; then both are as they were.
 */
export function writeRigEdit(path: string, before: string, after: string): { readonly kept: string } | Unwritten {
  const kept = new Output(keptPath(lstatSync(path).isSymbolicLink() ? realpathSync(path) : path), false);
  try {
    kept.write(before);
  } catch (error) {
    kept.discard();
    return { path: kept.path, fault: faultWords(error) };
  }
  return writeAll([{ path, text: after }], true, [kept]) ?? { kept: kept.path };
}
