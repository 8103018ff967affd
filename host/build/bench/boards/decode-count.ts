/**
 * Cycles that a show's frame takes to come out of its bits, on a bare Cortex-M0+: the controller's decoder and the pico's arithmetic, the
 * show's bytes where the pages would bring them. Memory costs nothing here, nor does bringing a page.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import asc, { type APIOptions } from 'assemblyscript/asc';
import { RP2040 } from 'rp2040js';
import { ALWAYS, generateC, readBoard } from '../../../firmware/compile.ts';
import { type Frames, encodeShow, segmentsIn } from '../../../shows/encode.ts';

const RAM_AT = 0x20000000;
const ARENA_BYTES = 65536;
const JOINTS = 16;
const MOST_STEPS = 5e8;
const ENDED = 0xffffffff;

export interface DecodeCount {
  readonly median: number;
  readonly longest: number;
}

const pagesOf = (data: Uint8Array): string => `
export const ROOM: usize = memory.data<u8>([${[...data, ...new Uint8Array(256)].join(',')}], 16);
export function pageAt(n: u32): usize { return ROOM + usize(n << 8); }`;
const ARCHIVE = 'export function halfPage(): u32 { return 0; }';
const probeOf = ({ places, count }: Frames, bytes: number): string => `
import { openShow, nextFrame } from '../assembly/night/decode';
import { entry } from '../assembly/night/plan';
import { VALUES, image } from '../assembly/layout';
const to: usize = memory.data(VALUES * 4);
export function arena_bytes(): u32 { return ${String(ARENA_BYTES)}; }
export function ready(): void {
  image().joint_count = ${String(JOINTS)};
  entry().page = 0;
  entry().bytes = ${String(bytes)};
  entry().frames = ${String(count)};
  entry().values = ${String(places.reduce((mask, place) => mask | (1 << place), 0))};
  openShow();
}
export function next(): u32 { return u32(nextFrame(to)); }`;
const MAIN = `#include "controller.h"
static w2c_controller c;
uint8_t wasm_arena[ARENA_BYTES + ARENA_PAD] __attribute__((aligned(8)));
volatile unsigned mark;
unsigned stack[2048];
void wasm_rt_trap(wasm_rt_trap_t trap) { (void)trap; for (;;) { } }
int main(void) {
  wasm2c_controller_instantiate(&c);
  w2c_controller_ready(&c);
  for (mark = 1; w2c_controller_next(&c); mark++) { }
  mark = 0xffffffffu;
  for (;;) { }
}
__attribute__((section(".vectors"), used)) void* const vectors[2] = {stack + 2048, (void*)main};
`;
const LINK = `ENTRY(main)
MEMORY { ram (rwx) : ORIGIN = ${String(RAM_AT)}, LENGTH = 256K }
SECTIONS {
  .text : { KEEP(*(.vectors)) *(.text*) *(.rodata*) *(.data*) } > ram
  .bss : { *(.bss*) *(COMMON) } > ram
}`;

async function compile(sources: ReadonlyMap<string, string>, wasm: string): Promise<void> {
  const args = ['build/probe.ts', '-o', 'probe.wasm', '-O3', '--runtime', 'stub', '--noAssert', '--use', 'abort='];
  const memory = ['--memoryBase', '64', '--initialMemory', '1', '--maximumMemory', '1'];
  const options: APIOptions = {
    writeFile(_, contents) {
      if (typeof contents !== 'string') writeFileSync(wasm, contents);
    },
    readFile(name) {
      try {
        return sources.get(name) ?? readFileSync(name, 'utf8');
      } catch {
        return null;
      }
    },
  };
  const { error } = await asc.main([...args, ...memory], options);
  if (error) throw error;
}

/** out: a folder of its own. */
export async function countDecoding(frames: Frames, out: string): Promise<DecodeCount> {
  mkdirSync(out, { recursive: true });
  const heats = Array.from({ length: segmentsIn(frames.count) }, () => new Uint8Array(JOINTS).fill(3));
  const data = encodeShow(frames, heats);
  const wasm = `${out}/probe.wasm`;
  const sources = new Map([
    ['assembly/night/pages.ts', pagesOf(data)],
    ['assembly/night/archive.ts', ARCHIVE],
    ['build/probe.ts', probeOf(frames, data.length)],
  ]);
  await compile(sources, wasm);
  const { folder } = generateC({ boards: 'boards', wasm, out });
  writeFileSync(`${out}/main.c`, MAIN);
  writeFileSync(`${out}/link.ld`, LINK);
  const board = readBoard('boards', 'pico');
  const include = [folder, 'boards/runtime', 'boards', 'boards/pico'].map((path) => `-I${path}`);
  const files = [`${folder}/controller.c`, `${out}/main.c`, 'boards/pico/float.c', 'boards/pico/arithmetic.S'];
  const link = ['-nostartfiles', '--specs=nano.specs', `-T${out}/link.ld`, '-Wl,--gc-sections', '-lm', '-w'];
  const flags = [...ALWAYS, ...board.flags, `-DARENA_BYTES=${String(ARENA_BYTES)}u`, ...include];
  execFileSync(board.compiler, [...flags, ...files, ...link, '-o', `${out}/probe.elf`], { stdio: 'inherit' });
  execFileSync('arm-none-eabi-objcopy', ['-O', 'binary', `${out}/probe.elf`, `${out}/probe.bin`]);
  const symbols = execFileSync('arm-none-eabi-nm', [`${out}/probe.elf`], { encoding: 'utf8' });
  const at = (name: string): number => parseInt(new RegExp(`^(\\w+) \\w ${name}$`, 'm').exec(symbols)?.[1] ?? '', 16);
  return run(readFileSync(`${out}/probe.bin`), at('main'), at('mark') - RAM_AT);
}

function run(bin: Uint8Array, main: number, markAt: number): DecodeCount {
  const { core, sram } = new RP2040();
  sram.set(bin);
  const ram = new DataView(sram.buffer, sram.byteOffset);
  core.SP = ram.getUint32(0, true);
  core.PC = main & ~1;
  const counts: number[] = [];
  let [seen, began] = [0, 0];
  for (let n = 0; n < MOST_STEPS && seen !== ENDED; n++) {
    core.executeInstruction();
    const mark = ram.getUint32(markAt, true);
    if (mark === seen) continue;
    if (seen > 0 && mark !== ENDED) counts.push(core.cycles - began);
    began = core.cycles;
    seen = mark;
  }
  if (seen !== ENDED) throw new Error('the show does not end');
  counts.sort((a, b) => a - b);
  return { median: counts[counts.length >> 1] ?? NaN, longest: counts.at(-1) ?? NaN };
}
