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

/** The interface. */
const EXPORTS = [
  'arena_bytes',
  'image',
  'init',
  'inputs',
  'memory',
  'outputs',
  'page',
  'pulses',
  'responded',
  'rx',
  'tick',
  'tx',
];
/**
 * The smallest board gives it this much memory: most of it is the record of how the prop has run, which is kept while it plays and
 * nothing may be written to flash. A board has 128 KiB, of which stack, link and drivers take 16.
 */
const ARENA_BYTES = 112 * 1024;
/**
 * It plays a night of shows by itself: what receives, decodes, starts, ends and records them is in it, so that every board does it alike.
 * As C for a board it is compiled into the 128 KiB of flash that a pico keeps for the program; names are left out there.
 */
const CODE_BYTES = 64 * 1024;

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
  it('is at most 64 KiB', () => {
    expect(wasm.length).toBeLessThanOrEqual(CODE_BYTES);
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

  // A name begins with $: its 65th function is $f64.
  it.each([
    ['double precision', /(?<!\$)\bf64\b/],
    ['vectors', /(?<!\$)\bv128\b/],
    ['state that a copy of its memory would lack: a global that changes', /\(global \S+ \(mut\b/],
    ['loads of 64 bits, which the boards have no function for (boards/runtime/wasm-access.h)', /\bi64\.load\b/],
    ['growing memory', /\bmemory\.grow\b/],
    ['a start function', /\(start\b/],
    ['a table or indirect calls', /\(table\b|\(elem\b|\bcall_indirect\b/],
  ])('holds no %s', (_, pattern) => {
    expect(wat).not.toMatch(pattern);
  });

  it('has two pages of memory, and a static end within the arena', () => {
    expect(wat).toMatch(/\(memory \$memory 2 2\)/);
    const { arena_bytes } = new WebAssembly.Instance(module).exports as { arena_bytes: () => number };
    expect(arena_bytes()).toBeGreaterThan(0);
    expect(arena_bytes()).toBeLessThanOrEqual(ARENA_BYTES);
  });

  it('gives its offsets as constants', () => {
    const offsets = EXPORTS.filter((name) =>
      new RegExp(`\\(global \\$${name} i32 \\(i32\\.const \\d+\\)\\)`).test(wat),
    );
    expect(offsets).toEqual(['image', 'inputs', 'outputs', 'page', 'pulses', 'responded', 'rx', 'tx']);
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
