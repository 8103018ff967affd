// Builds everything that runs: the controller and the batch solver by asc, the command line by esbuild.
import { execFileSync } from 'node:child_process';
import { chmodSync, existsSync, mkdirSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const root = fileURLToPath(new URL('../..', import.meta.url));
process.chdir(root);
const newest = (folder) => Math.max(...readdirSync(folder).map((name) => statSync(join(folder, name)).mtimeMs), statSync('asconfig.json').mtimeMs);

/** Compiles one AssemblyScript target unless its output is newer than every source. */
function compile(target, entry) {
  const out = `build/${target}.wasm`;
  if (existsSync(out) && statSync(out).mtimeMs > newest('assembly')) return;
  execFileSync(process.execPath, ['node_modules/assemblyscript/bin/asc.js', entry, '--target', target], { stdio: 'inherit' });
}

mkdirSync('build', { recursive: true });
compile('controller', 'assembly/index.ts');
compile('batch', 'assembly/batch.ts');
await build({
  entryPoints: ['host/cli/bin.ts'],
  outfile: 'dist/posewright.mjs',
  bundle: true,
  platform: 'node',
  target: 'node20',
  format: 'esm',
  packages: 'external',
  banner: { js: '#!/usr/bin/env node' },
  logLevel: 'warning',
});
chmodSync('dist/posewright.mjs', 0o755);
