/** The executable as a process: closed pipes, signals, exit codes. */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { GENTLE, OWL, needController, scratch, stream } from './fixture.ts';

const root = fileURLToPath(new URL('../../..', import.meta.url));
const files = scratch();
let folder = '';
let bin = '';

beforeAll(async () => {
  needController();
  mkdirSync(join(root, 'build'), { recursive: true });
  folder = mkdtempSync(join(root, 'build/cli-test-'));
  bin = join(folder, 'posewright.mjs');
  const entryPoints = [join(root, 'host/cli/bin.ts')];
  await build({ entryPoints, outfile: bin, bundle: true, platform: 'node', format: 'esm', packages: 'external' });
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
  files.remove();
});
const owl = files.put('owl.yaml', OWL);

const start = (...argv: string[]): ChildProcess =>
  spawn(process.execPath, [bin, ...argv], { stdio: ['pipe', 'pipe', 'pipe'] });

async function ended(child: ChildProcess): Promise<{ code: number | null; err: string }> {
  let err = '';
  child.stderr?.on('data', (chunk) => (err += String(chunk)));
  const [code] = await once(child, 'exit');
  return { code, err };
}

it('ends quietly when nobody reads on, its work done', async () => {
  const page = files.path('show.html');
  const child = start('replay', owl, files.put('gentle.csv', GENTLE), '--report', page);
  child.stdout?.destroy();
  expect(await ended(child)).toEqual({ code: 0, err: '' });
  expect(existsSync(page)).toBe(true);
});

it('plays what is piped in', async () => {
  const child = start('replay', owl, '-');
  child.stdout?.resume();
  child.stdin?.end(GENTLE);
  expect(await ended(child)).toEqual({ code: 0, err: '' });
});

it('leaves nothing behind when it is interrupted, and exits 130', async () => {
  const child = start('replay', owl, '-', '--report', files.path('never.html'));
  const end = ended(child);
  // More than a pipe holds: once it is all taken the program is up and reading; then it has minutes of motion to play.
  const yaw = (t_s: number): number => 5 * Math.sin(t_s);
  child.stdin?.end(stream(1800, { yaw_deg: yaw, roll_deg: yaw, x_mm: yaw }), () =>
    setTimeout(() => child.kill('SIGINT'), 300),
  );
  expect(await end).toEqual({ code: 130, err: '' });
  expect(readdirSync(files.path('.')).filter((name) => name.includes('never'))).toEqual([]);
});

it('exits 2 when the command is not right', async () => {
  expect((await ended(start('replay', owl))).code).toBe(2);
});
