/** Firmware for tests: each is compiled once and kept in build/tests until what it is made of changes, since several files want it. */
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { type Firmware, type Places, compileBoard } from '../../host/firmware/compile.ts';

const FOLDER = 'build/tests';
const WASM = 'build/controller.wasm';
const OTHERS = [
  WASM,
  'host/demo/night-owl.yaml',
  'host/build/bench/boards/rerun.ts',
  'host/controller/image.ts',
  'host/firmware/compile.ts',
];

/** Whether programs are on this machine. */
export const has = (...programs: readonly string[]): boolean =>
  programs.every((program) => !spawnSync(program, ['--version']).error);

/** Names what firmware is made of. */
function fingerprint(): string {
  const hash = createHash('sha256');
  const sources = readdirSync('boards', { recursive: true, encoding: 'utf8' }).map((name) => join('boards', name));
  for (const file of [...sources.sort(), ...OTHERS])
    if (statSync(file).isFile()) hash.update(file).update(readFileSync(file));
  return hash.digest('hex').slice(0, 12);
}

/** Makes something of the sources as they are, unless it has been made of them. */
function made<T>(name: string, make: (places: Places) => T): T {
  const key = `${name}-${fingerprint()}`;
  const record = join(FOLDER, `${key}.json`);
  if (existsSync(record)) return JSON.parse(readFileSync(record, 'utf8')) as T;
  mkdirSync(FOLDER, { recursive: true });
  for (const old of readdirSync(FOLDER))
    if (old.startsWith(`${name}-`) && !old.startsWith(key)) rmSync(join(FOLDER, old), { recursive: true, force: true });
  // Two test files may be here at once: each makes its own, and the last record counts.
  const folder = mkdtempSync(join(FOLDER, `${key}-`));
  const product = make({ boards: 'boards', wasm: WASM, out: folder });
  // Whole or not there: another may read it at this moment.
  const mine = `${folder}.json`;
  writeFileSync(mine, JSON.stringify(product));
  renameSync(mine, record);
  return product;
}

/** A board's firmware, or another program of it (see readBoard). */
export const firmwareOf = (board: string, program?: string): Firmware =>
  made(`${board}${program ?? ''}`, (places) => compileBoard(places, board, program));

/** A program that is made of more than the boards' sources. */
export const programOf = (name: string, make: (places: Places) => string): string => made(name, make);
