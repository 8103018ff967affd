// Breaks the code on purpose, one fault of list.json at a time, and sees whether a test notices. Works on copies in a temporary
// folder, never on this tree. A line a mutant; the last line is "N killed, N survived". Exit 1: some survived, 2: the list or a copy is no
// good. Arguments choose mutants by words of their file or their sentence.
import { spawn, spawnSync } from 'node:child_process';
import { cpSync, mkdtempSync, readFileSync, readdirSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
/** What is not copied: it is linked, made anew, or of no use to a test. */
const LEFT = new Set(['node_modules', '.git', 'build', 'dist']);
const WASM = 'build/controller.wasm';
/** A mutant that runs for longer than this hangs, which is noticed too. */
const LONGEST_MS = 300_000;

/** Runs a Node program in a folder; its status, null when it took too long, and what it printed. */
function run(cwd, args) {
  const child = spawn(process.execPath, args, { cwd, stdio: ['ignore', 'pipe', 'pipe'], timeout: LONGEST_MS });
  let text = '';
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (chunk) => (text += chunk));
  return new Promise((resolve) => child.on('close', (status) => resolve({ status, text })));
}

/** Compiles a copy's controller, without optimisation: that is twice as quick, and changes no bit of what it computes. */
async function compile(copy) {
  const asc = ['node_modules/assemblyscript/bin/asc.js', 'assembly/index.ts', '--target', 'controller'];
  const { status, text } = await run(copy, [...asc, '--optimizeLevel', '0']);
  if (status !== 0) throw new Error(`it does not compile:\n${text}`);
}

/** A copy of the tree in a folder of its own. */
function copyOf(folder, name) {
  const copy = join(folder, name);
  for (const entry of readdirSync(ROOT))
    if (!LEFT.has(entry)) cpSync(join(ROOT, entry), join(copy, entry), { recursive: true });
  cpSync(join(ROOT, 'build/batch.wasm'), join(copy, 'build/batch.wasm'));
  symlinkSync(join(ROOT, 'node_modules'), join(copy, 'node_modules'));
  return copy;
}

/** Whether these test files are green; only: a part of the tests' names. Throws when they cannot be run at all. */
async function green(copy, tests, only) {
  const specs = tests.filter((file) => file.endsWith('.spec.ts'));
  const files = tests.filter((file) => !specs.includes(file));
  if (specs.length > 0) {
    const as = ['--config', 'tests/as-pect.config.js', '--as-config', 'tests/as-pect.asconfig.json'];
    const { status, text } = await run(copy, ['node_modules/@as-pect/cli/lib/test.js', ...as]);
    const sums = [...text.matchAll(/Pass: (\d+) \/ (\d+)/g)];
    if (status === null || sums.some(([, passed, all]) => passed !== all)) return false;
    if (status !== 0) throw new Error(text);
  }
  if (files.length === 0) return true;
  const report = join(copy, 'report.json');
  rmSync(report, { force: true });
  const how = ['--maxWorkers=1', '--bail=1', '--reporter=json', `--outputFile=${report}`];
  const named = only === undefined ? [] : ['-t', only];
  const { status, text } = await run(copy, ['node_modules/vitest/vitest.mjs', 'run', ...files, ...how, ...named]);
  if (status === null) return false;
  const counts = JSON.parse(readFileSync(report, 'utf8'));
  if (counts.numFailedTests > 0) return false;
  if (status === 0 && counts.numPassedTests > 0) return true;
  throw new Error([text, ...counts.testResults.map(({ message }) => message)].join('\n'));
}

/** Applies a mutant to a copy, runs its tests, and takes it back. Whether a test noticed. */
async function killed(copy, { file, find, put, tests, only, needs }) {
  const path = join(copy, file);
  const text = readFileSync(path, 'utf8');
  if (text.split(find).length !== 2) throw new Error(`${file}: "${find}" does not occur exactly once`);
  const wasm = readFileSync(join(copy, WASM));
  if (needs) {
    // Firmware is made of the module as it is built: one that is not optimised does not become C for the boards.
    cpSync(join(ROOT, WASM), join(copy, WASM));
    if (!(await green(copy, tests, only))) throw new Error(`${tests.join(', ')}: red without it`);
  }
  const compiles = file.startsWith('assembly/') && tests.some((test) => !test.endsWith('.spec.ts'));
  try {
    writeFileSync(
      path,
      text.replace(find, () => put),
    );
    if (compiles) await compile(copy);
    return !(await green(copy, tests, only));
  } finally {
    writeFileSync(path, text);
    writeFileSync(join(copy, WASM), wasm);
  }
}

const words = process.argv.slice(2);
const list = JSON.parse(readFileSync(join(ROOT, 'tests/mutants/list.json'), 'utf8')).filter(
  ({ file, why }) => words.length === 0 || words.some((word) => `${file} ${why}`.includes(word)),
);
const counts = { killed: 0, survived: 0, left: 0, broken: 0 };

async function judge(copy, mutant) {
  const say = (verdict, more = '') => console.log(`${verdict}  ${mutant.file}: ${mutant.why}${more}`);
  if (mutant.needs && spawnSync(mutant.needs, ['--version']).error) {
    counts.left++;
    say('left out', ` ${mutant.needs} is not on this machine.`);
    return;
  }
  try {
    const noticed = await killed(copy, mutant);
    counts[noticed ? 'killed' : 'survived']++;
    say(noticed ? 'killed  ' : 'SURVIVED', noticed ? '' : ` Green all the same: ${mutant.tests.join(', ')}`);
  } catch (error) {
    counts.broken++;
    say('BROKEN  ', `\n${error.message}`);
  }
}

if (spawnSync(process.execPath, ['host/build/build.mjs'], { cwd: ROOT, stdio: 'inherit' }).status !== 0)
  process.exit(2);
const folder = mkdtempSync(join(tmpdir(), 'posewright-mutants-'));
process.once('SIGINT', () => {
  rmSync(folder, { recursive: true, force: true });
  process.exit(130);
});
try {
  const copies = Array.from({ length: Math.min(availableParallelism(), list.length) }, (_, k) =>
    copyOf(folder, String(k)),
  );
  await Promise.all(copies.map(compile));
  // A red test says nothing of a mutant when it is red without it.
  const tests = [...new Set(list.filter(({ needs }) => !needs).flatMap((mutant) => mutant.tests))];
  if (tests.length > 0 && !(await green(copies[0], tests)))
    throw new Error('some of the tests are red without any mutant');
  const waiting = [...list];
  const lane = async (copy) => {
    for (let next = waiting.shift(); next; next = waiting.shift()) await judge(copy, next);
  };
  await Promise.all(copies.map(lane));
} catch (error) {
  console.error(error.message);
  counts.broken++;
} finally {
  rmSync(folder, { recursive: true, force: true });
}

const left = counts.left > 0 ? `, ${counts.left} left out` : '';
console.log(`\n${counts.killed} killed, ${counts.survived} survived${left}`);
process.exitCode = counts.broken > 0 ? 2 : counts.survived > 0 ? 1 : 0;
