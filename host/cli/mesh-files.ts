/** Hands out the meshes that a rig file names, which stand in its folder. */
import { readFileSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { RigFiles } from '../rig/read.ts';
import { FAULTS, faultWords } from './faults.ts';
import { isStdin } from './stdin.ts';

/** A part that is drawn with more is drawn too finely to compute with, bytes. */
const MOST_BYTES = 64 * 2 ** 20;

/** For `readRig`: files beside the rig file at `path`, or in this folder for a rig on standard input. */
export function filesBeside(path: string): RigFiles {
  const folder = isStdin(path) ? '.' : dirname(path);
  return { mesh: (name) => bytesOf(join(folder, name)) };
}

function bytesOf(path: string): Uint8Array | { readonly problem: string } {
  try {
    const found = statSync(path);
    if (found.isDirectory()) return { problem: FAULTS.EISDIR };
    // A pipe or a device would be waited for without end.
    if (!found.isFile()) return { problem: 'this is no file' };
    if (found.size > MOST_BYTES)
      return { problem: `this file is larger than ${String(MOST_BYTES / 2 ** 20)} MB: export it more coarsely` };
    return readFileSync(path);
  } catch (error) {
    return { problem: faultWords(error) };
  }
}
