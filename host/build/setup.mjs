// Installs what npm cannot: the compiler and the emulator for boards. On Debian and Ubuntu by apt; elsewhere it says what to install.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';

const PACKAGES = ['gcc', 'libc6-dev', 'gcc-arm-none-eabi', 'libnewlib-arm-none-eabi', 'qemu-system-arm'];
const PROGRAMS = ['gcc', 'arm-none-eabi-gcc', 'qemu-system-arm'];
const missing = () => PROGRAMS.filter((program) => spawnSync(program, ['--version']).error);
const run = (program, args) => spawnSync(program, args, { stdio: 'inherit', env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } }).status === 0;

const before = missing();
if (before.length === 0) process.stdout.write('compiler and emulator for the boards are here\n');
else if (existsSync('/usr/bin/apt-get')) {
  const sudo = process.getuid() === 0 ? [] : ['sudo'];
  const apt = (...args) => run(...(sudo.length ? ['sudo', ['apt-get', ...args]] : ['apt-get', args]));
  if (!(apt('update') && apt('install', '-y', '--no-install-recommends', ...PACKAGES))) process.exitCode = 1;
} else {
  process.stdout.write(`not on this machine: ${before.join(', ')}\nInstall GCC for this machine, the Arm GNU toolchain (arm-none-eabi) with newlib, and QEMU for Arm.\n`);
  process.exitCode = 1;
}
