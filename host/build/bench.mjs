// Bundles a long run of host/build/bench (the first argument; the host's benchmark without) and runs it with the collector at
// hand. Further arguments are its own.
import { spawnSync } from 'node:child_process';
import { build } from 'esbuild';

const [name = 'bench', ...rest] = process.argv.slice(2);
const outfile = `build/bench-${name}.mjs`;
await build({ entryPoints: [`host/build/bench/${name}.ts`], outfile, bundle: true, platform: 'node', format: 'esm', packages: 'external', minifySyntax: true, logLevel: 'warning' });
process.exitCode = spawnSync(process.execPath, ['--expose-gc', outfile, ...rest], { stdio: 'inherit' }).status ?? 1;
