/**
 * From controller.wasm to a board's firmware: wasm2c, the board's folder, a C compiler. Boards are data (boards/NAME/board.json);
 * nothing here knows one of them. What is missing on this machine comes back in words.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { toUf2 } from './uf2.ts';

export interface BoardFile {
  readonly name: string;
  readonly about: string;
  readonly compiler: string;
  readonly flags: readonly string[];
  readonly link: readonly string[];
  readonly sources: readonly string[];
  /** Of the files that boards share; main.c and slots.c when it is not there. */
  readonly shared?: readonly string[];
  /** What the firmware is made into. */
  readonly image: 'elf' | 'uf2' | 'bin';
  /**
   * Where the flash begins and where its two slots stand; for 'uf2' the chip's short name in the public list of families, and
   * what the board's drive calls itself.
   */
  readonly flash?: {
    readonly address: string;
    readonly slots_address: string;
    readonly slot_bytes: number;
    readonly family?: string;
    readonly board_id?: string;
  };
}

export interface Firmware {
  readonly board: string;
  readonly elf: string;
  /** The flash's content from its first byte on; null for a program of this machine. */
  readonly bin: string | null;
  /** What goes onto the board. */
  readonly image: string;
  /** Bytes of code and constants, and of variables with the stack that the linker sets aside. */
  readonly flash_used: number;
  readonly ram_used: number;
  readonly sha256: string;
}

/** Something this machine lacks, or a board that there is not: words for the user. */
export class FirmwareError extends Error {}

export interface Places {
  /** Folder of the boards. */
  readonly boards: string;
  /** controller.wasm. */
  readonly wasm: string;
  /** Where output goes. */
  readonly out: string;
}

/** Names of the boards there are. */
export function boardNames(boards: string): string[] {
  return readdirSync(boards)
    .filter((name) => existsSync(join(boards, name, 'board.json')))
    .sort();
}

/** program: a file beside board.json that makes another program of the same board, such as a fuzzer. */
export function readBoard(boards: string, name: string, program = 'board'): BoardFile {
  const file = join(boards, name, `${program}.json`);
  if (!/^[a-z0-9]+$/.test(name) || !existsSync(file))
    throw new FirmwareError(`there is no board '${name}': there are ${boardNames(boards).join(', ')}`);
  return JSON.parse(readFileSync(file, 'utf8')) as BoardFile;
}

const packages = createRequire(import.meta.url);
const FIRST_ACCESS = '#define DEFINE_LOAD(';
const LAST_ACCESS = 'DEFINE_STORE(i64_store32, u32, u64)\n';
/** An address: a variable, and perhaps a constant on top. */
const ADDRESS = /(w2c_memory), \(u64\)\((\w+)\)(?: \+ (\d+)u)?/g;
/** Functions that wasm2c puts a test for NaN before, for chips that change its bits: none of the boards' does. */
const GUARDED = /= wasm_(fabsf|sqrtf)\(/g;

/** The controller as C, with the accesses of boards/runtime/wasm-access.h in place of the generated ones. Returns its folder. */
export function generateC(places: Places): { folder: string; arena_bytes: number } {
  const folder = join(places.out, 'c');
  mkdirSync(folder, { recursive: true });
  const file = join(folder, 'controller.c');
  const wasm2c = join(packages.resolve('wabt/package.json'), '..', 'bin', 'wasm2c');
  execFileSync(process.execPath, [wasm2c, places.wasm, '-n', 'controller', '-o', file]);
  const text = readFileSync(file, 'utf8');
  const first = text.indexOf(FIRST_ACCESS);
  const last = text.indexOf(LAST_ACCESS);
  if (first < 0 || last < first)
    throw new Error("wasm2c's output has another shape: its memory accesses were not found");
  const body = text
    .slice(last + LAST_ACCESS.length)
    .replace(ADDRESS, (_, memory: string, base: string, offset = '0') => `${memory}, ${base}, ${offset}u`)
    .replace(GUARDED, '= __builtin_$1(');
  if (body.includes('w2c_memory, (u64)'))
    throw new Error("wasm2c's output has another shape: an address was not understood");
  writeFileSync(file, `${text.slice(0, first)}#include "wasm-access.h"\n${body}`);
  const module = new WebAssembly.Module(readFileSync(places.wasm));
  const { exports } = new WebAssembly.Instance(module);
  return { folder, arena_bytes: (exports['arena_bytes'] as () => number)() };
}

/** Bits must be the same on every board: no fused multiply-add, nothing that takes NaN for a number. */
export const ALWAYS = ['-std=gnu11', '-ffp-contract=off', '-ffunction-sections', '-fdata-sections'];
export const OURS = ['-Wall', '-Wextra', '-Werror', '-Wdouble-promotion'];
export const GENERATED = ['-Wno-unused', '-Wno-float-equal'];

const SHARED = ['main.c', 'slots.c'];

/** Compiles a board, or another program of it (see readBoard). Throws FirmwareError when the compiler is missing. */
export function compileBoard(places: Places, name: string, program = 'board'): Firmware {
  const board = readBoard(places.boards, name, program);
  if (spawnSync(board.compiler, ['--version']).error)
    throw new FirmwareError(
      `${board.compiler} is not on this machine: npm run setup installs it, or says what to install`,
    );
  expectWritable(places.out);
  const { folder, arena_bytes } = generateC(places);
  const here = join(places.boards, name);
  const out = join(places.out, program === 'board' ? name : `${name}-${program}`);
  mkdirSync(out, { recursive: true });
  const include = ['runtime', '.', name].map((part) => `-I${join(places.boards, part)}`).concat(`-I${folder}`);
  const flags = [...ALWAYS, ...board.flags, `-DARENA_BYTES=${String(arena_bytes)}u`, ...include];
  const objects: string[] = [];
  const compile = (source: string, more: readonly string[]): void => {
    const object = join(out, `${source.replace(/^.*\//, '').replace(/\.[cS]$/, '')}.o`);
    run(board.compiler, [...flags, ...more, '-c', source, '-o', object]);
    objects.push(object);
  };
  compile(join(folder, 'controller.c'), GENERATED);
  for (const source of board.shared ?? SHARED) compile(join(places.boards, source), OURS);
  for (const source of board.sources) compile(join(here, source), OURS);
  const elf = join(out, `posewright-${name}.elf`);
  run(board.compiler, [...flags, ...objects, '-o', elf, ...board.link.map((flag) => flag.replace('$BOARD', here))]);
  const image = imageOf(board, elf);
  return {
    board: name,
    elf,
    image,
    bin: board.image === 'elf' ? null : elf.replace(/elf$/, 'bin'),
    ...sizes(board.compiler, elf),
    sha256: createHash('sha256').update(readFileSync(image)).digest('hex'),
  };
}

/** Asked before the compilers are, whose words for it are none. Throws FirmwareError. */
function expectWritable(out: string): void {
  const probe = join(out, `.posewright-${String(process.pid)}.part`);
  try {
    // Node's recursive form never ends where the system says of a folder that it is there and cannot hold another (/proc).
    if (!existsSync(out)) mkdirSync(out, { recursive: !existsSync(dirname(out)) });
    writeFileSync(probe, '');
    rmSync(probe);
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : 'no reason given';
    throw new FirmwareError(
      `firmware is made in ${out}, where nothing can be written (${code}): install posewright in a folder of your own`,
    );
  }
}

/** Makes what goes onto the board beside the ELF file; returns its path. A gap between sections is erased flash. */
function imageOf(board: BoardFile, elf: string): string {
  if (board.image === 'elf') return elf;
  const bin = elf.replace(/elf$/, 'bin');
  run(board.compiler.replace(/gcc$/, 'objcopy'), ['-O', 'binary', '--gap-fill', '0xff', elf, bin]);
  if (board.image === 'bin') return bin;
  const { family = '', address = '' } = board.flash ?? {};
  const blocks = toUf2([{ address: Number(address), data: readFileSync(bin) }], family);
  if (blocks === null) throw new Error(`board.json of ${board.name}: "${family}" is no UF2 family`);
  const uf2 = elf.replace(/elf$/, 'uf2');
  writeFileSync(uf2, blocks);
  return uf2;
}

function run(program: string, args: readonly string[]): void {
  const { status, stderr } = spawnSync(program, args, { encoding: 'utf8' });
  if (status !== 0) throw new Error(`${program} failed:\n${stderr}`);
}

/**
 * What is loaded from flash, and what takes memory while it runs, by the program headers: a segment takes memory when it is
 * written to or was loaded from another place than it runs at.
 */
function sizes(compiler: string, elf: string): { flash_used: number; ram_used: number } {
  const { stdout } = spawnSync(compiler.replace(/gcc$/, 'readelf'), ['-lW', elf], { encoding: 'utf8' });
  let flash_used = 0;
  let ram_used = 0;
  for (const line of stdout.split('\n')) {
    const [type, , runs, loaded, inFile, inMemory, ...flags] = line.trim().split(/\s+/);
    if (type !== 'LOAD') continue;
    flash_used += Number(inFile);
    if (runs !== loaded || flags.includes('RW') || flags.includes('RWE')) ram_used += Number(inMemory);
  }
  return { flash_used, ram_used };
}
