// The long runs of the night: a whole week on the controller of every board, an hour tick beside tick on this machine's board, a quarter of
// an hour on the emulated pico (PICO_MINUTES, and what the faults take besides). Arguments choose: week, native, pico. Prints what each has
// had, and ends with 1 where one is red. NIGHT_SEED is the seed of the first and the last; NIGHT_HOURS, NATIVE_MINUTES and PICO_MINUTES
// make them longer or shorter.
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

process.chdir(fileURLToPath(new URL('../..', import.meta.url)));

const RUNS = {
  week: { file: 'tests/night/week.test.ts', words: 'seven evenings of 24 h on the controller', NIGHT_HOURS: '24' },
  native: {
    file: 'tests/boards/native-shows.test.ts',
    words: 'an hour on native, sanitizers on',
    NATIVE_MINUTES: '60',
  },
  pico: { file: 'tests/boards/pico-evening.test.ts', words: 'evenings on the emulated pico', PICO_MINUTES: '11.5' },
};

/** A run's own line of figures, as rows of a table. */
function printFigures(text) {
  const line = text.split('\n').findLast((its) => its.startsWith('{'));
  if (!line) return;
  const { reasons = {}, ...figures } = JSON.parse(line);
  console.log('| | |\n| --- | ---: |');
  for (const [name, value] of Object.entries(figures)) console.log(`| ${name} | ${value.toLocaleString('en-US')} |`);
  for (const [why, times] of Object.entries(reasons)) console.log(`| not begun or not to its end: ${why} | ${times} |`);
}

const asked = process.argv.slice(2);
const wrong = asked.filter((word) => !(word in RUNS));
if (wrong.length > 0) {
  console.error(`${wrong.join(', ')}: there are ${Object.keys(RUNS).join(', ')}`);
  process.exit(2);
}
if (spawnSync(process.execPath, ['host/build/build.mjs'], { stdio: 'inherit' }).status !== 0) process.exit(2);
for (const [name, { file, words, ...settings }] of Object.entries(RUNS)) {
  if (asked.length > 0 && !asked.includes(name)) continue;
  const began = performance.now();
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    ['node_modules/vitest/vitest.mjs', 'run', file, '--maxWorkers=1', '--disableConsoleIntercept'],
    { env: { ...settings, ...process.env }, encoding: 'utf8', maxBuffer: 1 << 26 },
  );
  console.log(`\n${words}: ${status === 0 ? 'green' : 'RED'}, ${((performance.now() - began) / 1000).toFixed(0)} s\n`);
  printFigures(stdout);
  if (status === 0) continue;
  console.log(stdout, stderr);
  process.exitCode = 1;
}
