/** Compiles parts/parts.ts with the compiler and the flags of the controller, and hands out its functions. */
import { compileAssembly } from '../asc.ts';

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

export const compileParts = async (): Promise<Parts> =>
  (await compileAssembly('tests/published/parts/parts.ts')) as unknown as Parts;
