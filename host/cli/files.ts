/** Files that commands read, and what the system says of files, in words. */
import { constants, accessSync, statSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { holdStream } from '../stream/read.ts';
import type { Io } from './io.ts';

const FAULTS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EISDIR: 'this is a folder, not a file',
  ENOTDIR: 'part of this path is a file, not a folder',
  EACCES: 'this file may not be read or written',
  EPERM: 'this file may not be read or written',
  ENOSPC: 'the disk is full',
  EDQUOT: 'the disk has no more room for this user',
  EFBIG: 'this file would be larger than this system lets it be',
  EROFS: 'this disk is read-only',
  ENAMETOOLONG: 'this name is longer than this disk can hold',
  ELOOP: 'this is a link that leads back to itself',
  EIO: 'the disk failed',
  ENXIO: 'this is no file that can be read',
  EMFILE: 'this program has as many files open as the system lets it have',
};

/** What the operating system found wrong, in words; anything else is a bug and is thrown on. */
export function faultWords(error: unknown): string {
  if (!(error instanceof Error) || !('code' in error) || !('syscall' in error)) throw error;
  return FAULTS[String(error.code)] ?? error.message;
}

/** Text of a file, or of standard input for '-'. */
export async function readText(path: string, io: Io): Promise<{ readonly text: string } | { readonly fault: string }> {
  try {
    const bytes = path === '-' ? Buffer.concat(await holdStream(io.stdin)) : await readFile(path);
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch (error) {
    if (error instanceof TypeError) return { fault: 'this is not text in UTF-8' };
    return { fault: faultWords(error) };
  }
}

/** Why the file at `path` cannot be read, asked before any work is done; null: it can, or it is '-', standard input. */
export function refusedInput(path: string): string | null {
  if (path === '-') return null;
  try {
    accessSync(path, constants.R_OK);
    return statSync(path).isDirectory() ? (FAULTS['EISDIR'] ?? null) : null;
  } catch (error) {
    return faultWords(error);
  }
}
