// Builds, then runs every test: as-pect on the controller's modules, vitest on the rest. Its last line is
// "N passed, N failed". A build or a runner that breaks off, or runs nothing, counts as a failure. Arguments go to vitest.
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { stripVTControlCharacters } from 'node:util';

process.chdir(fileURLToPath(new URL('..', import.meta.url)));

/** What the boards' tests need beside npm: program, and the Debian package that has it. */
const TOOLS = {
  gcc: 'gcc',
  'arm-none-eabi-gcc': 'gcc-arm-none-eabi, libnewlib-arm-none-eabi',
  'qemu-system-arm': 'qemu-system-arm',
};

/** Arguments that leave out what cannot run here; says so in a line. */
function withoutTools() {
  const missing = Object.entries(TOOLS).filter(([program]) => spawnSync(program, ['--version']).error);
  if (missing.length === 0) return [];
  const packages = missing.map(([, name]) => name).join(', ');
  console.log(
    `Missing: ${packages} (npm run setup). Left out: every test of firmware in tests/boards and of the bring-up on a board, so nothing here is said of them.`,
  );
  const boards = [
    'arithmetic',
    'build',
    'f405',
    'flash',
    'flash-usb',
    'frames',
    'guard',
    'line',
    'native',
    'native-shows',
    'parity',
  ];
  const pico = ['pico', 'pico-evening', 'pico-lines', 'pico-safety', 'pico-usb', 'pico-wire', 'pins', 'scripts'];
  return [
    ...[...boards, ...pico].map((name) => `tests/boards/${name}.test.ts`),
    ...['true-prop', 'whole', 'wrong-answers'].map((name) => `tests/host/bringup/${name}.test.ts`),
  ].flatMap((file) => ['--exclude', file]);
}

/** Runs a Node program whose output the reader sees; `captured` output is also handed back. */
function run(args, { captured = false } = {}) {
  const colour = captured && process.stdout.isTTY && !process.env.NO_COLOR ? { FORCE_COLOR: '1' } : {};
  const child = spawn(process.execPath, args, {
    stdio: ['ignore', captured ? 'pipe' : 'inherit', 'inherit'],
    env: { ...process.env, ...colour },
  });
  let text = '';
  child.stdout?.on('data', (chunk) => {
    text += chunk;
    process.stdout.write(chunk);
  });
  return new Promise((resolve) => {
    child.on('close', (status) => resolve({ ok: status === 0, text: stripVTControlCharacters(text) }));
  });
}

/** The controller's specs; as-pect sums up each file in one line. */
async function specs() {
  const config = ['--config', 'tests/as-pect.config.js', '--as-config', 'tests/as-pect.asconfig.json'];
  const { ok, text } = await run(['node_modules/@as-pect/cli/lib/test.js', ...config], { captured: true });
  const files = [...text.matchAll(/Pass: (\d+) \/ (\d+) Todo: (\d+)/g)].map((line) => line.slice(1).map(Number));
  const sum = (count) => files.reduce((total, file) => total + count(file), 0);
  return {
    ok,
    passed: sum(([passed]) => passed),
    failed: sum(([passed, all]) => all - passed),
    skipped: sum(([, , todo]) => todo),
  };
}

/** Everything else; vitest writes its counts to a file. A file that could not be run is a failure of its own. */
async function suites(args) {
  const folder = mkdtempSync(join(tmpdir(), 'posewright-tests-'));
  const file = join(folder, 'vitest.json');
  try {
    const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${file}`];
    const { ok } = await run(['node_modules/vitest/vitest.mjs', 'run', ...reporters, ...withoutTools(), ...args]);
    const counts = JSON.parse(readFileSync(file, 'utf8'));
    const broken = counts.testResults.filter(
      ({ status, assertionResults }) =>
        status === 'failed' && assertionResults.every((test) => test.status !== 'failed'),
    );
    const skipped = counts.numPendingTests + counts.numTodoTests;
    return { ok, passed: counts.numPassedTests, failed: counts.numFailedTests + broken.length, skipped };
  } catch (error) {
    console.error(`vitest left no counts: ${error.message}`);
    return { ok: false, passed: 0, failed: 0, skipped: 0 };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

const total = { passed: 0, failed: 0, skipped: 0 };
function add({ ok, passed, failed, skipped }) {
  const silent = failed === 0 && (!ok || passed + skipped === 0);
  total.passed += passed;
  total.failed += silent ? 1 : failed;
  total.skipped += skipped;
}

const built = await run(['host/build/build.mjs']);
if (built.ok) {
  add(await specs());
  add(await suites(process.argv.slice(2)));
} else {
  console.error('The build failed: nothing was tested.');
  total.failed += 1;
}

const skipped = total.skipped > 0 ? `, ${total.skipped} skipped` : '';
console.log(`\n${total.passed} passed, ${total.failed} failed${skipped}`);
process.exitCode = total.failed > 0 ? 1 : 0;
