// Installs what npm cannot: the compiler and the emulator for boards, and the browser that the stage's page is tested in. On Debian and Ubuntu by apt; elsewhere it says what to install.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';

const PACKAGES = ['gcc', 'libc6-dev', 'gcc-arm-none-eabi', 'libnewlib-arm-none-eabi', 'qemu-system-arm', 'chromium'];
/** Each under any of its names. */
const PROGRAMS = [['gcc'], ['arm-none-eabi-gcc'], ['qemu-system-arm'], ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable']];
const isHere = (program) => !spawnSync(program, ['--version']).error;
const missing = () => PROGRAMS.filter((names) => !names.some(isHere)).map(([name]) => name);
const run = (program, args) => spawnSync(program, args, { stdio: 'inherit', env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } }).status === 0;

const before = missing();
if (before.length === 0) process.stdout.write('compiler and emulator for the boards and the browser for the page are here\n');
else if (existsSync('/usr/bin/apt-get')) {
  const sudo = process.getuid() === 0 ? [] : ['sudo'];
  const apt = (...args) => run(...(sudo.length ? ['sudo', ['apt-get', ...args]] : ['apt-get', args]));
  if (!(apt('update') && apt('install', '-y', '--no-install-recommends', ...PACKAGES))) process.exitCode = 1;
} else {
  process.stdout.write(`not on this machine: ${before.join(', ')}\nInstall GCC for this machine, the Arm GNU toolchain (arm-none-eabi) with newlib, QEMU for Arm, and Chromium.\n`);
  process.exitCode = 1;
}
