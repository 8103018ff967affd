/**
 * Coverage-guided fuzzing of the firmware in one process of this machine: clang's libFuzzer over boards/native. Arguments: seconds
 * (default: until interrupted). What it finds is left in build/fuzz as a file, for boards/native/rerun.c to play again.
 */
import { spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { FirmwareError } from '../../firmware/compile.ts';
import { compileInProcess, writeScripts } from './boards/rerun.ts';
import { seedScripts } from './boards/seeds.ts';

const FOLDER = 'build/fuzz';
const CORPUS = join(FOLDER, 'corpus');
const SCRIPT_MOST = 2048;

function compile(): string | null {
  try {
    return compileInProcess({ boards: 'boards', wasm: 'build/controller.wasm', out: FOLDER }, 'fuzz');
  } catch (error) {
    const words = error instanceof Error ? error.message : String(error);
    const missing = error instanceof FirmwareError ? 'clang' : /libclang_rt|clang_rt/.test(words) ? 'libclang-rt-dev' : null;
    if (missing === null) throw error;
    process.stderr.write(`Missing: ${missing} (Debian and Ubuntu: apt install clang libclang-rt-dev; elsewhere LLVM with its run-time libraries).\n`);
    return null;
  }
}

const [seconds = '0'] = process.argv.slice(2);
mkdirSync(CORPUS, { recursive: true });
const program = compile();
if (program === null || !/^\d+$/.test(seconds)) {
  if (program !== null) process.stderr.write('npm run fuzz -- SECONDS\n');
  process.exitCode = 2;
} else {
  writeScripts(CORPUS, seedScripts());
  const options = [`-max_total_time=${seconds}`, `-max_len=${String(SCRIPT_MOST)}`, '-len_control=0', '-timeout=60', '-report_slow_units=60', '-print_final_stats=1'];
  const env = { ...process.env, ASAN_OPTIONS: 'detect_leaks=0' };
  const { status } = spawnSync(program, [...options, `-artifact_prefix=${FOLDER}/found-`, CORPUS], { stdio: 'inherit', env });
  const found = readdirSync(FOLDER).filter((name) => name.startsWith('found-'));
  process.stdout.write(found.length === 0 ? 'nothing found\n' : `found: ${found.map((name) => join(FOLDER, name)).join(', ')}\n`);
  process.exitCode = status === 0 && found.length === 0 ? 0 : 1;
}
