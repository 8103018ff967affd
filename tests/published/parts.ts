/** Compiles parts/parts.ts with the compiler and the flags of the controller, and hands out its functions. */
import { readFileSync } from 'node:fs';
import asc from 'assemblyscript/asc';

export interface Parts {
  memory: WebAssembly.Memory;
  input(): number;
  output(): number;
  crc16Of(n: number): number;
  crc32Of(n: number): number;
  stuff(n: number): number;
  unstuff(n: number): number;
  unstuffed(): number;
  stepTicks(L: number, v: number, a: number, d: number, hz: number): number;
}

export async function compileParts(): Promise<Parts> {
  const files = new Map<string, Uint8Array>();
  const { error } = await asc.main(
    [
      'tests/published/parts/parts.ts',
      '--outFile',
      'parts.wasm',
      '-O3',
      '--runtime',
      'stub',
      '--noAssert',
      '--use',
      'abort=',
    ],
    {
      writeFile: (name: string, contents: Uint8Array | string) => {
        if (typeof contents !== 'string') files.set(name, contents);
      },
      readFile: (name: string) => {
        try {
          return readFileSync(name, 'utf8');
        } catch {
          return null;
        }
      },
    },
  );
  const wasm = files.get('parts.wasm');
  if (error || !wasm) throw new Error(`the parts do not compile: ${String(error)}`);
  return new WebAssembly.Instance(new WebAssembly.Module(wasm.slice())).exports as unknown as Parts;
}
