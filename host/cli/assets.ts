/** Finds what the build made, both from the bundle in dist/ and from the sources in host/cli/. */
import { existsSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const PLACES = ['../build/', '../../build/'];

/** Bytes of a built file such as `controller.wasm`; null: it was not built. */
export async function builtFile(name: string): Promise<Uint8Array<ArrayBuffer> | null> {
  for (const place of PLACES) {
    try {
      return new Uint8Array(await readFile(new URL(place + name, import.meta.url)));
    } catch {
      continue;
    }
  }
  return null;
}

const DEMO_PLACES = ['../host/demo/', '../demo/'];

/** Texts of the demo's files of these names; null: they are missing. */
export async function demoFiles(
  names: readonly string[],
): Promise<readonly { readonly name: string; readonly text: string }[] | null> {
  for (const place of DEMO_PLACES) {
    if (!names.every((name) => existsSync(new URL(place + name, import.meta.url)))) continue;
    const text = (name: string): Promise<string> => readFile(new URL(place + name, import.meta.url), 'utf8');
    return Promise.all(names.map(async (name) => ({ name, text: await text(name) })));
  }
  return null;
}

/** Where the boards, the controller and the firmware stand; root is the project's folder. */
export function firmwarePlaces(): { boards: string; wasm: string; out: string } {
  const root = ['..', '../..']
    .map((place) => fileURLToPath(new URL(`${place}/`, import.meta.url)))
    .find((at) => existsSync(join(at, 'boards', 'board.h')));
  if (root === undefined) throw new Error('the folder of the boards is missing from this installation');
  return {
    boards: join(root, 'boards'),
    wasm: join(root, 'build', 'controller.wasm'),
    out: join(root, 'build', 'firmware'),
  };
}
