/** Files that commands read; a failure is a sentence. */
import { constants, accessSync, statSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { FAULTS, faultWords } from './faults.ts';
import type { Io } from './io.ts';

/** Text of a file, or of standard input for '-'. */
export async function readText(path: string, io: Io): Promise<{ readonly text: string } | { readonly fault: string }> {
  try {
    const bytes = path === '-' ? await allOf(io.stdin) : await readFile(path);
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch (error) {
    if (error instanceof TypeError) return { fault: 'this is not text in UTF-8' };
    return { fault: faultWords(error) };
  }
}

async function allOf(source: AsyncIterable<Uint8Array>): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  for await (const chunk of source) chunks.push(chunk);
  return Buffer.concat(chunks);
}

/** Why the file at `path` cannot be read, asked before any work is done; null: it can, or it is '-', standard input. */
export function refusedInput(path: string): string | null {
  if (path === '-') return null;
  try {
    accessSync(path, constants.R_OK);
    return statSync(path).isDirectory() ? FAULTS.EISDIR : null;
  } catch (error) {
    return faultWords(error);
  }
}
