/**
 * What the controller must be to run on a chip without an operating system: taken from the module as built, read back
 * by another tool than the one that wrote it.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import loadWabt from 'wabt';

const wasm = readFileSync('build/controller.wasm');
const module = new WebAssembly.Module(wasm);
const wat = await disassemble(wasm);

/** The interface; later work adds nothing to it. */
const EXPORTS = ['arena_bytes', 'image', 'init', 'inputs', 'memory', 'outputs', 'pulses', 'rx', 'tick', 'tx'];
/** The smallest board gives it this much memory. */
const ARENA_BYTES = 24 * 1024;

/** The module as text, one instruction a line, every function and global named. */
async function disassemble(bytes: Uint8Array): Promise<string> {
  const read = (await loadWabt()).readWasm(bytes, { readDebugNames: false });
  read.generateNames();
  read.applyNames();
  const text = read.toText({ foldExprs: false, inlineExport: false });
  read.destroy();
  return text;
}

/** Whom each function calls. */
function callGraph(): Map<string, string[]> {
  const bodies = wat.split(/^ {2}\(func \$/m).slice(1);
  return new Map(
    bodies.map((body) => [
      /^[^\s)]+/.exec(body)?.[0] ?? '',
      [...body.matchAll(/^\s*call \$([^\s)]+)/gm)].map(([, callee]) => callee ?? ''),
    ]),
  );
}

describe('controller.wasm', () => {
  // 24 KiB to move a prop; the rest tells a reset inside a response from any other.
  it('is at most 25 KiB', () => {
    expect(wasm.length).toBeLessThanOrEqual(25 * 1024);
  });

  it('exports its interface and nothing else', () => {
    const names = WebAssembly.Module.exports(module).map(({ name }) => name);
    expect(names.sort()).toEqual(EXPORTS);
  });

  it('imports nothing', () => {
    expect(WebAssembly.Module.imports(module)).toEqual([]);
  });

  it('was read back as a whole', () => {
    expect(wat).toMatch(/\bf32\.mul\b/);
    expect(wat).toMatch(/\(export "tick" \(func \$tick\)\)/);
  });

  it.each([
    ['double precision', /\bf64\b/],
    ['vectors', /\bv128\b/],
    ['growing memory', /\bmemory\.grow\b/],
    ['a start function', /\(start\b/],
    ['a table or indirect calls', /\(table\b|\(elem\b|\bcall_indirect\b/],
  ])('holds no %s', (_, pattern) => {
    expect(wat).not.toMatch(pattern);
  });

  it('has one page of memory, and a static end within the arena', () => {
    expect(wat).toMatch(/\(memory \$memory 1 1\)/);
    const { arena_bytes } = new WebAssembly.Instance(module).exports as { arena_bytes: () => number };
    expect(arena_bytes()).toBeGreaterThan(0);
    expect(arena_bytes()).toBeLessThanOrEqual(ARENA_BYTES);
  });

  it('gives its offsets as constants', () => {
    const offsets = EXPORTS.filter((name) =>
      new RegExp(`\\(global \\$${name} i32 \\(i32\\.const \\d+\\)\\)`).test(wat),
    );
    expect(offsets).toEqual(['image', 'inputs', 'outputs', 'pulses', 'rx', 'tx']);
  });

  it('needs no call stack to speak of: no function calls itself, directly or in a circle', () => {
    const calls = callGraph();
    expect(calls.size).toBeGreaterThan(10);
    const reached = (from: string, seen = new Set<string>()): Set<string> => {
      for (const to of calls.get(from) ?? []) if (!seen.has(to)) reached(to, seen.add(to));
      return seen;
    };
    expect([...reached('tick')].length).toBeGreaterThan(5);
    for (const name of calls.keys()) expect(reached(name).has(name), name).toBe(false);
  });
});
