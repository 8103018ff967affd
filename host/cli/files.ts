/** Files that commands read and write. A file that is written appears whole or not at all; a failure is a sentence. */
import {
  constants,
  accessSync,
  createReadStream,
  existsSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join, basename, resolve } from 'node:path';
import type { Io } from './io.ts';

const FAULTS: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EISDIR: 'this is a folder, not a file',
  ENOTDIR: 'part of this path is a file, not a folder',
  EACCES: 'this file may not be read or written',
  ENOSPC: 'the disk is full',
  EROFS: 'this disk is read-only',
};

/** What the operating system found wrong, in words; anything else is a bug and is thrown on. */
export function faultWords(error: unknown): string {
  if (!(error instanceof Error) || !('code' in error) || !('syscall' in error)) throw error;
  return FAULTS[String(error.code)] ?? error.message;
}

/** A rig, or what a phone has measured of a wobble, is far smaller, bytes. */
const MOST_BYTES = 64 * 2 ** 20;

/** Text of a file, or of standard input for '-'; not of one that is larger than any that is read whole. */
export async function readText(path: string, io: Io): Promise<{ readonly text: string } | { readonly fault: string }> {
  try {
    const bytes = await bytesOf(path === '-' ? io.stdin : createReadStream(path));
    if (!bytes)
      return { fault: `this file is larger than ${String(MOST_BYTES / 2 ** 20)} MB: it is no rig and no measurement` };
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
  if (path === '-') return null;
  try {
    accessSync(path, constants.R_OK);
    return statSync(path).isDirectory() ? (FAULTS['EISDIR'] ?? null) : null;
  } catch (error) {
    return faultWords(error);
  }
}

const realPath = (path: string): string => (existsSync(path) ? realpathSync(path) : resolve(path));

/**
 * Why `path` may not be written, asked before any work is done; null: it may. `inputs` are files that the command reads,
 * which it never writes over, `--force` or not.
 */
export function refusedOutput(path: string, force: boolean, inputs: readonly string[]): string | null {
  if (path === '-') return 'only a file can be written here: name one, such as out.txt';
  try {
    const folder = dirname(path);
    if (!existsSync(folder)) return `there is no folder ${folder}`;
    accessSync(folder, constants.W_OK);
    if (!existsSync(path)) return null;
    if (statSync(path).isDirectory()) return 'this is a folder, not a file';
    if (inputs.some((input) => input !== '-' && realPath(input) === realPath(path)))
      return 'this is a file that is read here: name another to write';
    return force ? null : 'this file is there already: --force writes over it';
  } catch (error) {
    return faultWords(error);
  }
}

/** Whether two paths, where both are given, name one file. */
export const isSameFile = (a: string | undefined, b: string | undefined): boolean =>
  a !== undefined && b !== undefined && realPath(a) === realPath(b);

/** The temporary file in which the one at `path` is written. */
export const partOf = (path: string): string => join(dirname(path), `.${basename(path)}.${String(process.pid)}.part`);

/**
 * Writes a file whole: to a temporary one beside it, which then takes its name. Synchronous on purpose: a signal is heard
 * before or after, so that none leaves the temporary file behind. Returns what went wrong, or null.
 */
export function writeWhole(path: string, text: string): string | null {
  const temporary = partOf(path);
  try {
    writeFileSync(temporary, text);
    renameSync(temporary, path);
    return null;
  } catch (error) {
    rmSync(temporary, { force: true });
    return faultWords(error);
  }
}
