// Builds, then asks the demo the four questions. That one of them is answered with no is the demo's point, and no failure.
import { spawnSync } from 'node:child_process';

const run = (...args) => spawnSync(process.execPath, args, { stdio: 'inherit' }).status ?? 3;
const built = run('host/build/build.mjs');
const asked = ['why', 'host/demo/night-owl.yaml', 'host/demo/dusk.csv', '--report', 'build/night-owl.html', '--force'];
const code = built === 0 ? run('dist/posewright.mjs', ...asked) : built;
process.exitCode = code === 1 ? 0 : code;
