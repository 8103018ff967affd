// Runs every test: as-pect on the controller's modules, vitest on everything else. Its last line is "N passed, N failed".
// A runner that ends without a count, or with another status than its count says, counts as one failure.
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Runs a program, passes its output on, resolves its exit status and what it printed. */
function run(args) {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'inherit'] });
    let text = '';
    child.stdout.on('data', (chunk) => {
      text += chunk;
      process.stdout.write(chunk);
    });
    child.on('close', (status) => resolve({ status, text }));
  });
}

const plain = (text) => text.replace(/\u001b\[[0-9;]*m/g, '');
const total = { passed: 0, failed: 0, skipped: 0 };
const add = (status, passed, failed, skipped = 0) => {
  const ran = passed + failed > 0;
  total.passed += passed;
  total.failed += failed + (!ran || (status !== 0 && failed === 0) ? 1 : 0);
  total.skipped += skipped;
};

const specs = await run(['node_modules/@as-pect/cli/bin/asp.js', '--config', 'tests/as-pect.config.js', '--as-config', 'tests/as-pect.asconfig.json', '--verbose', '--no-logo']);
const groups = [...plain(specs.text).matchAll(/\[Tests\]:?\s*(\d+) \/ (\d+)/g)];
const passed = groups.reduce((sum, [, ok]) => sum + Number(ok), 0);
add(specs.status, passed, groups.reduce((sum, [, , all]) => sum + Number(all), 0) - passed);

const folder = mkdtempSync(join(tmpdir(), 'posewright-tests-'));
const file = join(folder, 'vitest.json');
const suite = await run(['node_modules/vitest/vitest.mjs', 'run', '--reporter=default', '--reporter=json', `--outputFile=${file}`, ...process.argv.slice(2)]);
try {
  const { numPassedTests, numFailedTests, numPendingTests, numFailedTestSuites } = JSON.parse(readFileSync(file, 'utf8'));
  add(suite.status, numPassedTests, numFailedTests || (suite.status === 0 ? 0 : numFailedTestSuites), numPendingTests);
} catch {
  add(suite.status ?? 1, 0, 1);
}
rmSync(folder, { recursive: true });

process.stdout.write(`\n${total.passed} passed, ${total.failed} failed${total.skipped ? `, ${total.skipped} skipped` : ''}\n`);
process.exitCode = total.failed > 0 ? 1 : 0;
