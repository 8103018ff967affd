// Bundles the benchmark and runs it with the collector at hand.
import { spawnSync } from 'node:child_process';
import { build } from 'esbuild';

const outfile = 'build/bench.mjs';
await build({ entryPoints: ['host/build/bench/bench.ts'], outfile, bundle: true, platform: 'node', format: 'esm', packages: 'external', logLevel: 'warning' });
process.exitCode = spawnSync(process.execPath, ['--expose-gc', outfile], { stdio: 'inherit' }).status ?? 1;
