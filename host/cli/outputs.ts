/**
 * Files that commands write. Whether one can be written is asked before any work is done; it appears whole or not at all, and
 * several appear together or not at all. A failure is a sentence.
 *
 * A file that is there is replaced with --force only, and only a regular one: by a new file beside it that takes its name and
 * its mode. A symbolic link stays what it is: the file it leads to is replaced. A link that leads nowhere is refused.
 */
import {
  type Stats,
  closeSync,
  copyFileSync,
  existsSync,
  fchmodSync,
  linkSync,
  lstatSync,
  openSync,
  readlinkSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { faultWords } from './faults.ts';
import { isStdin } from './stdin.ts';

/** What went wrong with a file, and which it is. */
export interface Unwritten {
  readonly path: string;
  readonly fault: string;
}

const THERE = 'this file exists already: --force overwrites it';

/** Where a file's text goes in the end: the file that a link leads to, and what is there now; null: nothing. */
interface Place {
  readonly path: string;
  readonly old: Stats | null;
}

/** The absolute path of a file that is there or could be: links in its folder's path are followed, the file's own are not. */
const fullPath = (path: string): string => join(realpathSync(dirname(path)), basename(path));

/** Where `path` leads. Throws what the system says. */
function placeOf(path: string): Place {
  const found = lstatSync(path, { throwIfNoEntry: false });
  if (!found) return { path: fullPath(path), old: null };
  const real = found.isSymbolicLink() ? realpathSync(path) : fullPath(path);
  return { path: real, old: statSync(real) };
}

/** What is there that is no regular file, in words; null: it is one. */
function kindWords(found: Stats): string | null {
  if (found.isFile()) return null;
  if (found.isDirectory()) return 'this is a folder, not a file';
  if (found.isFIFO()) return 'this is a pipe, not a file: name a file';
  if (found.isSocket()) return 'this is a socket, not a file: name a file';
  return 'this is a device, not a file: name a file';
}

/** Why there can be no file of this name, whatever is there; null: there can. */
function nameWords(path: string): string | null {
  if (path === '') return 'this is no name: name a file, such as out.txt';
  if (isStdin(path)) return 'only a file can be written here: name one, such as out.txt';
  const found = lstatSync(path, { throwIfNoEntry: false });
  if (found?.isSymbolicLink() && !existsSync(path))
    return `this is a link to ${readlinkSync(path)}, which is not there: remove the link, or name another file`;
  if (!found && /[/\\]$/.test(path)) return 'this is the name of a folder: name a file in it';
  const folder = dirname(path);
  return existsSync(folder) ? null : `there is no folder ${folder}`;
}

const isRead = (path: string, inputs: readonly string[]): boolean =>
  inputs.some((input) => !isStdin(input) && existsSync(input) && realpathSync(input) === path);

/**
 * Why `path` may not be written, asked before any work is done; null: it may. A file is made beside it and removed for that: there
 * is no surer question. `inputs` are files that the command reads, which it never writes over, `force` or not.
 */
export function refusedOutput(path: string, force: boolean, inputs: readonly string[]): string | null {
  try {
    const named = nameWords(path);
    if (named !== null) return named;
    const place = placeOf(path);
    const kind = place.old && kindWords(place.old);
    if (kind !== null) return kind;
    if (isRead(place.path, inputs)) return 'this file is one of the inputs: name another to write';
    if (place.old && !force) return THERE;
    const part = partBeside(place);
    closeSync(openSync(part, 'wx'));
    rmSync(part);
    return null;
  } catch (error) {
    return error instanceof Error && 'code' in error && error.code === 'ENOENT'
      ? `no file can be made in ${dirname(path)}`
      : faultWords(error);
  }
}

const isPageName = (path: string): boolean => /[^/\\]\.html?$/i.test(path);

/** As refusedOutput, for a page. That a file of another kind is there is not told: the page needs another name anyway. */
export const refusedPage = (path: string, force: boolean, inputs: readonly string[]): string | null =>
  refusedOutput(path, force || !isPageName(path), inputs) ??
  (isPageName(path) ? null : 'the page is HTML: name a file that ends in .html');

/** Whether two paths, where both are given, name one file. */
export function isSameFile(a: string | undefined, b: string | undefined): boolean {
  if (a === undefined || b === undefined) return false;
  try {
    return placeOf(a).path === placeOf(b).path;
  } catch {
    return a === b;
  }
}

let parts = 0;
const partBeside = ({ path }: Place): string =>
  join(dirname(path), `.posewright-${String(process.pid)}-${String(++parts)}.part`);

let tell: (part: string) => void = () => undefined;

/** `listener` hears of every temporary file before it is made, so that whoever ends the program can remove it. */
export const onPart = (listener: (part: string) => void): void => {
  tell = listener;
};

/** A file on its way: what is written goes to a temporary one beside it, and `publish` gives that its name. */
export class Output {
  readonly path: string;
  private readonly force: boolean;
  private place: Place | null = null;
  private part = '';
  private descriptor: number | null = null;
  /** A second name of the file that was replaced, for as long as it may have to come back. */
  private kept: string | null = null;

  constructor(path: string, force: boolean) {
    this.path = path;
    this.force = force;
  }

  /** Throws what the system says. */
  write(text: string | Uint8Array): void {
    this.descriptor ??= this.open();
    const bytes = Buffer.from(text);
    for (let written = 0; written < bytes.length;) written += writeSync(this.descriptor, bytes, written);
  }

  private open(): number {
    this.place = placeOf(this.path);
    this.part = partBeside(this.place);
    tell(this.part);
    const descriptor = openSync(this.part, 'wx');
    if (this.place.old) fchmodSync(descriptor, this.place.old.mode & 0o777);
    return descriptor;
  }

  close(): void {
    const { descriptor } = this;
    this.descriptor = null;
    if (descriptor !== null) closeSync(descriptor);
  }

  /** The temporary file takes the name. `withOthers`: what was there can be brought back. */
  put(withOthers: boolean): void {
    const { place, part } = this;
    if (!place) throw new Error(`nothing was written to ${this.path}`);
    const now = lstatSync(place.path, { throwIfNoEntry: false });
    if (!now) return this.putNew(place.path);
    const kind = kindWords(now);
    if (kind !== null || !this.force) throw new Refusal(kind ?? THERE);
    if (withOthers) this.keep(place);
    renameSync(part, place.path);
  }

  /** Without writing over what somebody else may put there at the same time, where the disk has hard links. */
  private putNew(path: string): void {
    try {
      linkSync(this.part, path);
    } catch (error) {
      if (error instanceof Error && 'code' in error && error.code === 'EEXIST') throw new Refusal(THERE);
      renameSync(this.part, path);
      return;
    }
    rmSync(this.part);
  }

  private keep(place: Place): void {
    this.kept = partBeside(place);
    tell(this.kept);
    try {
      linkSync(place.path, this.kept);
    } catch {
      copyFileSync(place.path, this.kept);
    }
  }

  /** Undoes `put`. */
  takeBack(): void {
    const { place, kept } = this;
    if (!place) return;
    if (kept === null) rmSync(place.path, { force: true });
    else renameSync(kept, place.path);
    this.kept = null;
  }

  /** Leaves no temporary file behind. */
  discard(): void {
    try {
      this.close();
    } finally {
      for (const left of [this.part, this.kept]) if (left) rmSync(left, { force: true });
    }
  }
}

/** A file that is not written, in words. */
class Refusal extends Error {}

const wordsOf = (error: unknown): string => (error instanceof Refusal ? error.message : faultWords(error));

/** Gives all of them their names, or none. Returns the first that could not get it; null: all did. */
export function publish(outputs: readonly Output[]): Unwritten | null {
  const done: Output[] = [];
  try {
    for (const output of outputs) {
      try {
        output.close();
        output.put(outputs.length > 1);
        done.push(output);
      } catch (error) {
        for (const before of done.reverse()) before.takeBack();
        return { path: output.path, fault: wordsOf(error) };
      }
    }
    return null;
  } finally {
    for (const output of outputs) output.discard();
  }
}

export interface TextFile {
  readonly path: string;
  readonly text: string | Uint8Array;
}

/** Writes all of them, whole, or none. Returns the first that could not be written; null: all are there. */
export function writeAll(files: readonly TextFile[], force: boolean, others: readonly Output[] = []): Unwritten | null {
  const outputs: Output[] = [];
  for (const { path, text } of files) {
    const output = new Output(path, force);
    outputs.push(output);
    try {
      output.write(text);
    } catch (error) {
      for (const begun of [...outputs, ...others]) begun.discard();
      return { path, fault: wordsOf(error) };
    }
  }
  return publish([...others, ...outputs]);
}
