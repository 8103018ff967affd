/**
 * The folder of a search: what was asked, the search as it stands, the designs. What is asked goes along, so that a search can be gone on
 * with, or put together with others, on any machine.
 */
import { existsSync, mkdirSync, readFileSync, readdirSync, rmSync, statSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { type ReadSearch, readSearch } from '../../design/search/state.ts';
import { FAULTS, faultWords } from '../faults.ts';
import { type Problem, problemOf } from '../output.ts';
import { type TextFile, writeAll } from '../outputs.ts';
import { type NamedText, WANT_NAME } from './want-file.ts';

const STATE = 'search.json';
export const ASKED = 'asked';
export const FRONT = 'front.json';
export const PAGE = 'front.html';

/** Names of files that a search before may have left there. */
const OURS = /^(front\.json|front\.html|search\.json|\d-[a-z-]+\.yaml)$/;

export const askedWant = (folder: string): string => join(folder, ASKED, WANT_NAME);

/** What of an earlier search is in a folder. */
const leftIn = (folder: string): string[] =>
  statSync(folder, { throwIfNoEntry: false })?.isDirectory()
    ? readdirSync(folder).filter((name) => OURS.test(name))
    : [];

/** Why results cannot go there; null: they can. `goesOn`: what an earlier search left is wanted. */
export function refusedFolder(folder: string, goesOn: boolean): Problem | null {
  const found = statSync(folder, { throwIfNoEntry: false });
  if (folder === '') return problemOf('-o', 'this is no name: name a folder, such as neck');
  if (found && !found.isDirectory()) return problemOf(folder, FAULTS.ENOTDIR);
  if (!goesOn && leftIn(folder).length > 0)
    return problemOf(
      folder,
      'results of an earlier search are there: --resume goes on with it, --force writes over them, or name another folder',
    );
  return null;
}

/** Whether a file holds these bytes. */
function isThere(path: string, bytes: string | Uint8Array): boolean {
  try {
    return readFileSync(path).equals(Buffer.from(bytes));
  } catch {
    return false;
  }
}

/** Why the designs' meshes cannot go beside them; null: they can, or are there already. */
export function refusedMeshes(folder: string, meshes: readonly NamedText[], force: boolean): Problem | null {
  const own = meshes.map(({ name, text }) => ({ path: join(folder, name), text }));
  const other = own.find(({ path, text }) => !force && existsSync(path) && !isThere(path, text));
  if (!other) return null;
  const words =
    'a mesh of the rig goes there with the designs, and this is another file: name another folder, or --force writes over it';
  return problemOf(other.path, words);
}

/** The search that was written into a folder. */
export function searchIn(folder: string): ReadSearch {
  if (!existsSync(join(folder, STATE)))
    return { search: null, problem: `there is no search to go on with or to merge: it has no ${STATE}` };
  try {
    return readSearch(readFileSync(join(folder, STATE), 'utf8'));
  } catch (error) {
    return { search: null, problem: `${STATE}: ${faultWords(error)}` };
  }
}

export function writeState(folder: string, text: string): Problem | null {
  return written([{ path: join(folder, STATE), text }]);
}

/** What was asked, beside a search without results of its own. */
export const writeAsked = (folder: string, asked: readonly NamedText[]): Problem | null =>
  written(asked.map(({ name, text }) => ({ path: join(folder, ASKED, name), text })));

/** All that a search leaves, in place of what an earlier one left. Null: it is there. */
export function writeResults(folder: string, asked: readonly NamedText[], files: readonly NamedText[]): Problem | null {
  const all = [
    ...asked.map(({ name, text }) => ({ path: join(folder, ASKED, name), text })),
    ...files
      .map(({ name, text }) => ({ path: join(folder, name), text }))
      .filter(({ path, text }) => !isThere(path, text)),
  ];
  const problem = written(all);
  if (problem) return problem;
  const kept = new Set([...files.map(({ name }) => name), STATE]);
  for (const name of leftIn(folder)) if (!kept.has(name)) rmSync(join(folder, name));
  return null;
}

function written(files: readonly TextFile[]): Problem | null {
  try {
    for (const folder of new Set(files.map(({ path }) => dirname(path)))) mkdirSync(folder, { recursive: true });
  } catch (error) {
    return problemOf(dirname(files[0]?.path ?? ''), faultWords(error));
  }
  const unwritten = writeAll(files, true);
  return unwritten && problemOf(unwritten.path, unwritten.fault);
}
