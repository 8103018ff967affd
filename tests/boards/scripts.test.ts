/**
 * The firmware in one process of this machine, sanitizers on, its promises checked after every tick: scripts of what happens to
 * a board, scripts made of them, and power lost at every byte. `npm run fuzz` goes on from the same scripts, guided by coverage.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { compileInProcess, rerun, writeScripts } from '../../host/build/bench/boards/rerun.ts';
import { seedScripts } from '../../host/build/bench/boards/seeds.ts';
import { has, programOf } from './firmware.ts';

const SEED = 41;
const MADE = 1000;

describe.skipIf(!has('gcc'))('the firmware in one process', () => {
  let folder = '';
  let program = '';
  let scripts: string[] = [];
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'posewright-scripts-'));
    program = programOf('scripts', (places) => compileInProcess(places, 'rerun'));
    scripts = writeScripts(folder, seedScripts());
  });
  afterAll(() => {
    rmSync(folder, { recursive: true });
  });

  it(`keeps its promises over ${String(MADE)} scripts made of the seeds`, () => {
    const { words, fault } = rerun(program, ['mutate', String(SEED), String(MADE), ...scripts]);
    expect(fault, `seed ${String(SEED)}`).toBeNull();
    const [ticks = 0, bytes = 0, frames = 0, resets = 0, unstored = 0, low = 0] = [...words.matchAll(/\d+/g)].map(
      Number,
    );
    expect(ticks).toBeGreaterThan(100_000);
    expect(bytes).toBeGreaterThan(100_000);
    expect(frames).toBeGreaterThan(10_000);
    expect(resets).toBeGreaterThan(100);
    // Flash that was worn out, and supplies that stayed low.
    expect(unstored).toBeGreaterThan(10);
    expect(low).toBeGreaterThan(1000);
  });

  it('has the old image or the new one after power is lost at any byte of a writing, into either slot', () => {
    const { words, fault } = rerun(program, ['power']);
    expect(fault).toBeNull();
    const [first = 0, second = 0, old = 0, fresh = 0] = [...words.matchAll(/\d+/g)].map(Number);
    // A slot's erasure, pieces of 256 bytes, and the head.
    expect(first).toBeGreaterThanOrEqual(4096 + 768 + 256);
    expect(old + fresh).toBe(first + second);
    expect(fresh).toBeGreaterThan(0);
  });
});
