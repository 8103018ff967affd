/**
 * The floating-point rules that the controller's bits rest on, in the engine that runs it. WebAssembly Core Specification,
 * "Floating-Point Operations": IEEE 754, to nearest, ties to even. S. A. Figueroa, "When is double rounding innocuous?",
 * ACM SIGNUM Newsletter 30(3), 1995: + - * / and square root of two binary32 numbers, computed in binary64 and rounded once,
 * are correctly rounded. So Math.fround is a reference for every operation of the controller.
 */
import asc from 'assemblyscript/asc';
import { describe, expect, it } from 'vitest';

const SOURCE = `
export function add(a: f32, b: f32): f32 { return a + b; }
export function sub(a: f32, b: f32): f32 { return a - b; }
export function mul(a: f32, b: f32): f32 { return a * b; }
export function div(a: f32, b: f32): f32 { return a / b; }
export function root(a: f32, b: f32): f32 { return sqrt<f32>(a); }
export function fused(a: f32, b: f32): f32 { return a * b + a; }
`;

describe('f32 in WebAssembly', () => {
  it('rounds each operation once, as Math.fround does, over random bit patterns', async () => {
    const { binary } = await asc.compileString(SOURCE, { optimizeLevel: 3, runtime: 'stub' });
    const ops = new WebAssembly.Instance(new WebAssembly.Module(binary!.slice())).exports as Record<
      string,
      (a: number, b: number) => number
    >;
    const f = Math.fround;
    const reference: Record<string, (a: number, b: number) => number> = {
      add: (a, b) => f(a + b),
      sub: (a, b) => f(a - b),
      mul: (a, b) => f(a * b),
      div: (a, b) => f(a / b),
      root: (a) => f(Math.sqrt(a)),
      // No fused multiply-add: the product is rounded before the sum.
      fused: (a, b) => f(f(a * b) + a),
    };
    const word = new Uint32Array(1);
    const float = new Float32Array(word.buffer);
    let seed = 1;
    const next = (): number => {
      seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
      word[0] = (seed ^ (seed >>> 13)) >>> 0;
      return float[0]!;
    };
    for (const [name, exact] of Object.entries(reference))
      for (let n = 0; n < 100_000; n++) {
        const a = next();
        const b = next();
        const ours = ops[name]!(a, b);
        if (!Object.is(ours, exact(a, b))) expect(ours, `${name} of ${String(a)} and ${String(b)}`).toBe(exact(a, b));
      }
  });
});
