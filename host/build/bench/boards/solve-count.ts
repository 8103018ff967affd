/**
 * The six-leg solve against the same by hand in C (boards/bench): instructions on an emulated Cortex-M4F, the same flags on both
 * sides, memory checks on. Counts, not cycles: no wait states, no pipeline.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { packImage } from '../../../controller/image.ts';
import { ALWAYS, GENERATED, OURS, generateC, readBoard } from '../../../firmware/compile.ts';
import type { Rig } from '../../../rig/rig.ts';
import { atMost, say } from './print.ts';

const BOARDS = 'boards';
const POSES = 200;
const SEED = 11;
/** What the ratios may be. */
export const MOST = { toTextbook: 0.52, toKernels: 1.12 } as const;

/** The inverse kinematics alone as a module, with the controller's own settings. */
function compileModule(out: string): string {
  const wasm = join(out, 'solve.wasm');
  const asc = ['node_modules/assemblyscript/bin/asc.js', 'assembly/solve.ts', '--config', 'none', '-o', wasm];
  const { options } = JSON.parse(readFileSync('asconfig.json', 'utf8')) as { options: Record<string, unknown> };
  const flags = Object.entries(options).flatMap(([name, value]) =>
    value === true ? [`--${name}`] : [`--${name}`, String(Array.isArray(value) ? value.join(',') : value)],
  );
  execFileSync(process.execPath, [...asc, ...flags, '--initialMemory', '1', '--maximumMemory', '1'], { stdio: 'inherit' });
  return wasm;
}

interface SolveModule {
  readonly memory: WebAssembly.Memory;
  readonly image: WebAssembly.Global;
  readonly poses: WebAssembly.Global;
  ready(): void;
  solve_pose(at: number): number;
}

/** Random poses that the rig reaches: within 12 mm and 12 deg of home. */
function reachablePoses(wasm: string, image: Uint8Array): Float32Array {
  const { exports } = new WebAssembly.Instance(new WebAssembly.Module(readFileSync(wasm)));
  const module = exports as unknown as SolveModule;
  const at = Number(module.poses.value);
  new Uint8Array(module.memory.buffer).set(image, Number(module.image.value));
  module.ready();
  const pose = new Float32Array(module.memory.buffer, at, 6);
  const poses = new Float32Array(6 * POSES);
  let seed = SEED;
  const random = (): number => (seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0) / 2 ** 31 - 1;
  for (let n = 0; n < POSES; ) {
    for (let k = 0; k < 6; k++) pose[k] = random() * (k < 3 ? 12 : 0.2);
    if (module.solve_pose(at)) poses.set(pose, 6 * n++);
  }
  return poses;
}

const list = (values: ArrayLike<number>, text: (value: number) => string): string => Array.from(values, text).join(',');

/** Compiles boards/bench for the f405's core. */
function compileSolvers(rig: Rig, out: string): { elf: string; flags: string } {
  const wasm = compileModule(out);
  const image = packImage(rig);
  const { folder, arena_bytes } = generateC({ boards: BOARDS, wasm, out });
  const float = (value: number): string => `${value.toExponential(9)}f`;
  writeFileSync(
    join(folder, 'bench_data.h'),
    `#define POSES ${String(POSES)}u\nstatic const unsigned char bench_image[] __attribute__((aligned(4))) = {${list(image, String)}};\n` +
      `static const float bench_poses[] = {${list(reachablePoses(wasm, image), float)}};\n`,
  );
  const board = readBoard(BOARDS, 'f405');
  const include = [folder, `${BOARDS}/bench`, `${BOARDS}/f405`, BOARDS, `${BOARDS}/runtime`].map((path) => `-I${path}`);
  const flags = [...ALWAYS, ...board.flags, `-DARENA_BYTES=${String(arena_bytes)}u`, ...include];
  const cc = (args: readonly string[]): unknown => execFileSync(board.compiler, [...flags, ...args], { stdio: 'inherit' });
  const objects: string[] = [];
  const sources: [string, readonly string[]][] = [
    [join(folder, 'controller.c'), GENERATED],
    [`${BOARDS}/bench/main.c`, OURS],
    [`${BOARDS}/bench/baseline.c`, OURS],
    [`${BOARDS}/f405/start.c`, OURS],
  ];
  for (const [source, more] of sources) {
    const object = join(out, source.replace(/^.*\//, '').replace(/c$/, 'o'));
    cc([...more, '-c', source, '-o', object]);
    objects.push(object);
  }
  const elf = join(out, 'solvers.elf');
  cc([...objects, '-o', elf, ...board.link.map((flag) => flag.replace('$BOARD', `${BOARDS}/f405`)), '-lm']);
  return { elf, flags: [...ALWAYS, ...board.flags].join(' ') };
}

/** Runs it: the console's lines as pairs, in order. */
function runSolvers(elf: string): Map<string, number>[] {
  const machine = ['-M', 'netduinoplus2', '-display', 'none', '-monitor', 'none', '-serial', 'null', '-kernel', elf];
  const counted = ['-icount', 'shift=0,sleep=off', '-semihosting-config', 'enable=on,target=native'];
  const { status, stdout, stderr } = spawnSync('qemu-system-arm', [...machine, ...counted], { encoding: 'utf8', timeout: 60_000 });
  const lines = `${stdout}${stderr}`.split('\n').filter((line) => /^\w+ \d+$/.test(line));
  if (status !== 0 || lines.length !== 10) throw new Error(`the emulated benchmark ended with ${String(status)}:\n${stdout}${stderr}`);
  const pairs = lines.map((line) => line.split(' ')).map(([name, value]) => [name, Number(value)] as [string, number]);
  return [new Map(pairs.slice(0, 5)), new Map(pairs.slice(5))];
}

/** Instructions of a six-leg solve as shares of those of C by hand. */
export interface SolveRatios {
  readonly toKernels: number;
  readonly toTextbook: number;
  /** C by hand with the same kernels, of C by hand with asin and atan2. */
  readonly byHand: number;
}

/** Counts and prints both, with and without rod ends, and returns the former; out: a folder for what is compiled. */
export function solvers(rig: Rig, out: string): SolveRatios {
  const { elf, flags } = compileSolvers(rig, out);
  say(`flags of all sides: ${flags}`);
  say();
  const [withRodEnds] = ['with rod ends', 'without rod ends'].map((title, i): SolveRatios => {
    const counts = runSolvers(elf)[i] ?? new Map<string, number>();
    const per = (name: string): number => (counts.get(name) ?? NaN) / POSES;
    say(`six-leg solve, ${title}: instructions a pose (${String(POSES)} poses, seed ${String(SEED)})`);
    for (const [words, name] of [
      ['C by hand, asin and atan2 of newlib', 'textbook'],
      ['C by hand, the same kernels', 'kernels'],
      ['the controller', 'module'],
    ] as const)
      say(`  ${words.padEnd(58)} ${per(name).toFixed(0).padStart(7)}`);
    const toTextbook = per('module') / per('textbook');
    const toKernels = per('module') / per('kernels');
    atMost('ratio to asin and atan2', toTextbook, MOST.toTextbook);
    atMost('ratio to the same kernels', toKernels, MOST.toKernels);
    const nrad = (name: string): string => `${String(counts.get(name))} nrad`;
    say(`  largest difference: ${nrad('from_textbook')} from asin and atan2, ${nrad('from_kernels')} from the same kernels`);
    say();
    return { toTextbook, toKernels, byHand: per('kernels') / per('textbook') };
  });
  return withRodEnds!;
}
