/** Finds what the build made, both from the bundle in dist/ and from the sources in host/cli/. */
import { readFile } from 'node:fs/promises';

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
