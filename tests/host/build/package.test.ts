/** The package as `npm pack` makes it, unpacked into an empty folder: it does from any folder what a clone does. */
import { execFileSync, spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { has } from '../../boards/firmware.ts';
import { needController } from '../cli/fixture.ts';

/** Where npm would put them: beside the package. Everything else that the command line needs is in it. */
const BESIDE = (name: string): boolean => name !== '.vite' && name !== '.cache';

let folder = '';
let installed = '';
let elsewhere = '';
const demo = (name: string): string => {
  const at = ['demo', 'host/demo'].find((place) => existsSync(join(installed, place, name))) ?? 'demo';
  return join(installed, at, name);
};

beforeAll(() => {
  needController();
  // A bundle of its own: the one in dist/ may be older than the sources.
  execFileSync(process.execPath, ['host/build/build.mjs']);
  folder = mkdtempSync(join(tmpdir(), 'posewright-package-'));
  const packed = execFileSync('npm', ['pack', '--json', '--ignore-scripts', '--pack-destination', folder], {
    encoding: 'utf8',
  });
  const [{ filename }] = JSON.parse(packed) as [{ filename: string }];
  mkdirSync(join(folder, 'node_modules'));
  execFileSync('tar', ['-xzf', join(folder, filename), '-C', join(folder, 'node_modules')]);
  installed = join(folder, 'node_modules/package');
  const { dependencies } = JSON.parse(readFileSync('package.json', 'utf8')) as { dependencies: Record<string, string> };
  // Links, as `npm link` makes them: only what package.json names as a dependency.
  for (const name of Object.keys(dependencies).filter(BESIDE)) {
    const at = join(folder, 'node_modules', name);
    mkdirSync(join(at, '..'), { recursive: true });
    symlinkSync(resolve('node_modules', name), at);
  }
  elsewhere = join(folder, 'elsewhere');
  mkdirSync(elsewhere);
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
});

const posewright = (...argv: string[]): { code: number | null; out: string; err: string } => {
  const ran = spawnSync(process.execPath, [join(installed, 'dist/posewright.mjs'), ...argv], {
    cwd: elsewhere,
    encoding: 'utf8',
  });
  return { code: ran.status, out: ran.stdout, err: ran.stderr };
};

it('checks, solves and replays the demo', () => {
  expect(posewright('check', demo('night-owl.yaml'))).toMatchObject({ code: 0, err: '' });
  expect(posewright('solve', demo('night-owl.yaml'), '--pose', '0,0,1,0,0,0').code).toBe(0);
  const { code, out } = posewright('replay', demo('night-owl.yaml'), demo('dusk.csv'), '-o', 'out.csv', '--json');
  expect(JSON.parse(out)).toMatchObject({ frames: 1001, unreachable: 0 });
  expect([code === 0 || code === 1, existsSync(join(elsewhere, 'out.csv'))]).toEqual([true, true]);
});

it('has what another build of the controller takes: sources and the compiler’s settings', () => {
  for (const name of ['assembly/index.ts', 'asconfig.json', 'boards/LINK.md', 'DEVELOPERS.md', 'LICENSE'])
    expect([name, existsSync(join(installed, name))]).toEqual([name, true]);
});

it.skipIf(!has('gcc'))('builds the native board and replays on it', () => {
  expect(posewright('build', '--board', 'native')).toMatchObject({ code: 0, err: '' });
  const short = join(elsewhere, 'short.csv');
  cpSync(demo('night-owl.yaml'), join(elsewhere, 'owl.yaml'));
  execFileSync(process.execPath, [
    '-e',
    `require('fs').writeFileSync(${JSON.stringify(short)}, 't_s,yaw_deg\\n0,0\\n0.02,0\\n0.2,0\\n')`,
  ]);
  const { code, out, err } = posewright('replay', 'owl.yaml', 'short.csv', '--on', 'native', '--json');
  expect([code, err]).toEqual([0, expect.not.stringContaining('fault')]);
  expect(JSON.parse(out)).toMatchObject({ ok: true, frames: 3 });
});

it.skipIf(!has('arm-none-eabi-gcc'))('builds a microcontroller’s firmware, and says how big it is', () => {
  expect(posewright('build', '--board', 'pico')).toEqual({
    code: 0,
    out: expect.stringMatching(/KiB of flash, .* KiB of memory/),
    err: '',
  });
  expect(existsSync(join(installed, 'build/firmware/pico/posewright-pico.uf2'))).toBe(true);
});
