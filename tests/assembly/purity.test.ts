/**
 * What the controller must be to run on a chip without an operating system: read from the module itself, as built.
 */
import { readFileSync, statSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const wasm = readFileSync('build/controller.wasm');
const wat = readFileSync('build/controller.wat', 'utf8');
const module = new WebAssembly.Module(wasm);

/** The interface; later work adds nothing to it. */
const EXPORTS = ['arena_bytes', 'image', 'init', 'inputs', 'memory', 'outputs', 'pulses', 'rx', 'tick', 'tx'];

describe('controller.wasm', () => {
  it('is at most 20 KiB', () => {
    expect(statSync('build/controller.wasm').size).toBeLessThanOrEqual(20 * 1024);
  });

  it('exports its interface and nothing else', () => {
    const names = WebAssembly.Module.exports(module).map(({ name }) => name);
    expect(names.sort()).toEqual(EXPORTS);
  });

  it('imports nothing', () => {
    expect(WebAssembly.Module.imports(module)).toEqual([]);
  });

  it('holds no double precision, no growing memory, no start function', () => {
    expect(wat).not.toMatch(/\bf64\b|f64\./);
    expect(wat).not.toMatch(/memory\.grow/);
    expect(wat).not.toMatch(/\(start\b/);
  });

  it('has one page of memory, and uses at most 24 KiB of it', () => {
    expect(wat).toMatch(/\(memory \$0 1 1\)/);
    const { exports } = new WebAssembly.Instance(module);
    expect((exports['arena_bytes'] as () => number)()).toBeLessThanOrEqual(24 * 1024);
  });

  it('needs no call stack to speak of: no function calls itself, directly or in a circle', () => {
    const calls = new Map<string, string[]>();
    for (const body of wat.split(/\n \(func /).slice(1)) {
      const name = /^\$?(\S+)/.exec(body)?.[1] ?? '';
      calls.set(name, [...body.matchAll(/\(call \$(\S+)/g)].map(([, callee]) => callee ?? ''));
    }
    expect(calls.size).toBeGreaterThan(10);
    const reaches = (from: string, seen: Set<string>): Set<string> => {
      for (const to of calls.get(from) ?? []) if (!seen.has(to)) reaches(to, seen.add(to));
      return seen;
    };
    for (const name of calls.keys()) expect(reaches(name, new Set()).has(name), name).toBe(false);
  });
});
