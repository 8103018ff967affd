/** Files that commands read; a failure is a sentence. */
import { constants, accessSync, createReadStream, statSync } from 'node:fs';
import { FAULTS, faultWords } from './faults.ts';
import type { Io } from './io.ts';
import { isStdin } from './stdin.ts';

/** A rig, or what a phone has measured of a wobble, is far smaller, bytes. */
const MOST_BYTES = 64 * 2 ** 20;

/** Text of a file, or of standard input for '-'; not of one that is larger than any that is read whole. */
export async function readText(path: string, io: Io): Promise<{ readonly text: string } | { readonly fault: string }> {
  try {
    const bytes = await bytesOf(isStdin(path) ? io.stdin : createReadStream(path));
    if (!bytes)
      return { fault: `this file is larger than ${String(MOST_BYTES / 2 ** 20)} MB: rigs and recordings are smaller` };
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch (error) {
    if (error instanceof TypeError) return { fault: 'this is not text in UTF-8' };
    return { fault: faultWords(error) };
  }
}

/** All bytes of a source; null: there are too many. */
async function bytesOf(source: AsyncIterable<Uint8Array>): Promise<Buffer | null> {
  const chunks: Uint8Array[] = [];
  let size = 0;
  for await (const chunk of source) {
    chunks.push(chunk);
    size += chunk.length;
    if (size > MOST_BYTES) return null;
  }
  return Buffer.concat(chunks);
}

/** Why the file at `path` cannot be read, asked before any work is done; null: it can, or it is '-', standard input. */
export function refusedInput(path: string): string | null {
  if (isStdin(path)) return null;
  try {
    accessSync(path, constants.R_OK);
    return statSync(path).isDirectory() ? FAULTS.EISDIR : null;
  } catch (error) {
    return faultWords(error);
  }
}
