/**
 * A rig's own controller.wasm: the controller with the rig's responses.ts in it. What it is made of names it, so that it is made once.
 */
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, readdirSync, renameSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import type { Rig } from '../../rig/rig.ts';
import type { Senses } from '../../rig/senses.ts';
import { check } from './check.ts';
import { type Fault, compiler, lineAt, parse } from './parse.ts';
import { impurities } from './purity.ts';
import { rewritten } from './rewrite.ts';
import { type Named, namedOf, namedSource } from './senses.ts';

/** What stands beside a rig's file. */
export const RESPONSES = 'responses.ts';

export interface OwnPlaces {
  /** The project's folder: assembly/ and asconfig.json are in it. */
  readonly root: string;
  /** Where what is compiled is kept. */
  readonly out: string;
}

export interface OwnController {
  /** The module, and the folder that it and the firmware made of it are kept in. */
  readonly wasm: string;
  readonly folder: string;
  readonly bytes: Uint8Array<ArrayBuffer>;
}

/** The responses of a rig at this path; null: it has none. */
export function responsesBeside(rigPath: string): { path: string; text: string } | null {
  const path = join(dirname(rigPath), RESPONSES);
  return rigPath !== '-' && existsSync(path) ? { path, text: readFileSync(path, 'utf8') } : null;
}

/**
 * The controller with these responses, or all that is wrong with them, with lines. Throws where nothing can be written at places.out.
 */
export async function compileResponses(
  text: string,
  rig: Rig,
  senses: Senses,
  places: OwnPlaces,
): Promise<OwnController | readonly Fault[]> {
  const named = namedOf(rig, senses);
  const sources = controllerSources(places.root);
  const hash = createHash('sha256').update(JSON.stringify([text, named, ...sources, compilerVersion(places.root)]));
  const folder = join(places.out, hash.digest('hex').slice(0, 16));
  const wasm = join(folder, 'controller.wasm');
  if (!existsSync(wasm)) {
    const made = await make(text, named, sources);
    if (!(made instanceof Uint8Array)) return made;
    mkdirSync(folder, { recursive: true });
    // Whole or not there: another may read it at this moment.
    const mine = `${wasm}.${String(process.pid)}`;
    writeFileSync(mine, made);
    renameSync(mine, wasm);
  }
  return { wasm, folder, bytes: new Uint8Array(readFileSync(wasm)) };
}

/** The controller's files by the paths that the compiler asks for. */
function controllerSources(root: string): Map<string, string> {
  const names = readdirSync(join(root, 'assembly'), { recursive: true, encoding: 'utf8' });
  const files = [
    'asconfig.json',
    ...names.filter((name) => name.endsWith('.ts')).map((name) => `assembly/${name.replaceAll('\\', '/')}`),
  ];
  return new Map(files.sort().map((file) => [file, readFileSync(join(root, file), 'utf8')]));
}

/** Of the lock file, which pins it. */
const compilerVersion = (root: string): string =>
  /"assemblyscript": "([^"]+)"/.exec(readFileSync(join(root, 'package.json'), 'utf8'))?.[1] ?? '';

async function make(
  text: string,
  named: Named,
  sources: ReadonlyMap<string, string>,
): Promise<Uint8Array | readonly Fault[]> {
  const as = await compiler();
  const { statements, faults: unread } = parse(as, text);
  if (unread.length > 0) return unread;
  const { outline, faults } = check(as, text, named, statements);
  if (faults.length > 0) return faults;
  const files = new Map(sources)
    .set('assembly/responses.ts', rewritten(as, text, outline))
    .set('assembly/named.ts', namedSource(named));
  const compiled = await compile(files);
  if (!(compiled instanceof Uint8Array)) return compiled;
  const impure = await impurities(compiled);
  return impure.length > 0 ? impure.map((message) => ({ line: 1, message })) : compiled;
}

async function compile(files: ReadonlyMap<string, string>): Promise<Uint8Array | readonly Fault[]> {
  const { default: asc } = await import('assemblyscript/asc');
  const faults: Fault[] = [];
  let wasm: Uint8Array | null = null;
  const { error } = await asc.main(['assembly/index.ts', '--target', 'controller'], {
    writeFile: (name: string, contents: Uint8Array | string) => {
      if (name.endsWith('.wasm') && typeof contents !== 'string') wasm = contents;
    },
    readFile: (name: string) => files.get(name) ?? null,
    reportDiagnostic: ({ message, range }) => {
      const source = files.get(range?.source?.normalizedPath ?? '');
      if (source !== undefined)
        faults.push({ line: lineAt(source, range?.start ?? 0), message: `the compiler says: ${message}` });
    },
  });
  if (wasm && !error) return wasm;
  return faults.length > 0 ? faults : [{ line: 1, message: `it does not compile: ${String(error)}` }];
}
