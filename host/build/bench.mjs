// Bundles a benchmark, the host's or the boards' (argument: boards), and runs it with the collector at hand.
import { spawnSync } from 'node:child_process';
import { build } from 'esbuild';

const name = process.argv[2] ?? 'bench';
const outfile = `build/bench-${name}.mjs`;
await build({ entryPoints: [`host/build/bench/${name}.ts`], outfile, bundle: true, platform: 'node', format: 'esm', packages: 'external', logLevel: 'warning' });
process.exitCode = spawnSync(process.execPath, ['--expose-gc', outfile], { stdio: 'inherit' }).status ?? 1;
