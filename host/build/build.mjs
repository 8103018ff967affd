// Builds everything that runs: the controller and the batch solver by asc, where a source has changed since, then the
// command line by esbuild, packages and all, into one file that starts at once.
import { spawn } from 'node:child_process';
import { chmodSync, mkdirSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

process.chdir(fileURLToPath(new URL('../..', import.meta.url)));

const changed = (path) => statSync(path, { throwIfNoEntry: false })?.mtimeMs ?? 0;
const SOURCES = readdirSync('assembly', { recursive: true }).map((name) => join('assembly', name));
// The folder itself for a file removed, the lock file for another compiler.
const newest = Math.max(...['assembly', ...SOURCES, 'asconfig.json', 'package-lock.json'].map(changed));

/** Compiles one target of asconfig.json; false: the compiler has said why not. */
function compile(target, entry) {
  if (changed(`build/${target}.wasm`) > newest) return true;
  const asc = ['node_modules/assemblyscript/bin/asc.js', entry, '--target', target];
  const child = spawn(process.execPath, asc, { stdio: 'inherit' });
  return new Promise((resolve) => child.on('close', (status) => resolve(status === 0)));
}

/** Bundles host/cli/bin.ts; false: esbuild has said why not. */
async function bundle() {
  const outfile = 'dist/posewright.mjs';
  const require = "import { createRequire as requireOf } from 'node:module'; const require = requireOf(import.meta.url);";
  try {
    await build({
      entryPoints: ['host/cli/bin.ts'],
      outfile,
      bundle: true,
      platform: 'node',
      target: 'node20',
      format: 'esm',
      // It has compiled parts, found from where it stands.
      external: ['serialport'],
      // Packages in the older module format call require.
      banner: { js: `#!/usr/bin/env node\n${require}` },
      logLevel: 'warning',
    });
    chmodSync(outfile, 0o755);
    return true;
  } catch {
    return false;
  }
}

mkdirSync('build', { recursive: true });
const done = await Promise.all([
  compile('controller', 'assembly/index.ts'),
  compile('batch', 'assembly/batch.ts'),
  bundle(),
]);
if (done.includes(false)) process.exitCode = 1;
