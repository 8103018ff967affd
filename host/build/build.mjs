// Builds everything that runs: the controller and the batch solver by asc, where a source has changed since, then the
// command line by esbuild, packages and all, into a file that starts at once and loads the others as they are needed.
import { spawn } from 'node:child_process';
import { chmodSync, mkdirSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { build } from 'esbuild';
import { BUNDLE, PAGE } from './bundle.mjs';

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

/** Bundles the command line and the stage's page into dist/; false: esbuild has said why not. */
async function bundle() {
  try {
    const { outputs } = (await build(BUNDLE)).metafile;
    const made = Object.keys(outputs).map((file) => basename(file));
    rmSync('dist/stage', { recursive: true, force: true });
    await build(PAGE);
    compress('dist/stage');
    for (const old of readdirSync('dist')) if (old !== 'stage' && !made.includes(old)) rmSync(join('dist', old), { recursive: true });
    chmodSync('dist/posewright.mjs', 0o755);
    return true;
  } catch (error) {
    if (!error.errors) throw error;
    return false;
  }
}

/** Beside every file the same as gzip, which the stage's server sends where a browser takes it. */
function compress(folder) {
  for (const name of readdirSync(folder)) writeFileSync(join(folder, `${name}.gz`), gzipSync(readFileSync(join(folder, name)), { level: 9 }));
}

mkdirSync('build', { recursive: true });
mkdirSync('dist', { recursive: true });
const done = await Promise.all([
  compile('controller', 'assembly/index.ts'),
  compile('batch', 'assembly/batch.ts'),
  bundle(),
]);
if (done.includes(false)) process.exitCode = 1;
