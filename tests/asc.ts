/** Compiles AssemblyScript in this process, with the flags of the controller unless told otherwise. */
import { readFileSync } from 'node:fs';
import asc from 'assemblyscript/asc';

/** What a source compiles to. sources: files that stand in memory only, by the path that they are imported under. */
export async function compileBytes(
  entry: string,
  sources: ReadonlyMap<string, string> = new Map(),
  optimise = '-O3',
): Promise<Uint8Array<ArrayBuffer>> {
  let wasm: Uint8Array | null = null;
  const { error } = await asc.main(
    [entry, '--outFile', 'module.wasm', optimise, '--runtime', 'stub', '--noAssert', '--use', 'abort='],
    {
      writeFile: (_: string, contents: Uint8Array | string) => {
        if (typeof contents !== 'string') wasm = contents;
      },
      readFile: (name: string) => {
        try {
          return sources.get(name) ?? readFileSync(name, 'utf8');
        } catch {
          return null;
        }
      },
    },
  );
  const bytes = wasm as Uint8Array | null;
  if (error || !bytes) throw new Error(`${entry} does not compile: ${String(error)}`);
  return bytes.slice();
}

/** The same, instantiated. */
export async function compileAssembly(
  entry: string,
  sources: ReadonlyMap<string, string> = new Map(),
  optimise = '-O3',
): Promise<WebAssembly.Exports> {
  return new WebAssembly.Instance(new WebAssembly.Module(await compileBytes(entry, sources, optimise))).exports;
}

/** The module that a source compiles to, with whatever it imports. */
export async function compiled(source: string): Promise<Uint8Array> {
  const { binary, error } = await asc.compileString(source, { runtime: 'stub' });
  if (error || !binary) throw new Error(String(error));
  return binary;
}
