/** The executable as a process: closed pipes, full disks, signals, exit codes. */
import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { closeSync, existsSync, mkdirSync, mkdtempSync, openSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
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

/** Sends the signal when the command has been at work for a while; how it ended, and how long after, ms. */
async function interrupted(
  child: ChildProcess,
  signal: NodeJS.Signals,
  after_ms: number,
): Promise<{ code: number | null; err: string; took_ms: number }> {
  child.stdout?.resume();
  const end = ended(child);
  await new Promise((resolve) => setTimeout(resolve, after_ms));
  expect(child.exitCode).toBeNull();
  const from_ms = performance.now();
  child.kill(signal);
  return { ...(await end), took_ms: performance.now() - from_ms };
}

describe('an interrupt', () => {
  const out = files.path('out');
  mkdirSync(out);
  const at = (name: string): string => join(out, name);
  const swing = (t_s: number): number => 5 * Math.sin(t_s);
  // Minutes of work for each of the commands below.
  const long = files.put('long.csv', stream(1800, { yaw_deg: swing, roll_deg: swing, nod_deg: swing }));
  const jumpy = (t_s: number): number => 6 * Math.sign(Math.sin(7 * t_s));
  const wild = files.put('wild.csv', stream(5400, { yaw_deg: jumpy, x_mm: jumpy, nod_deg: jumpy }));
  const box = 'x=-10..10,yaw=-15..15';

  it.each([
    ['why', [owl, long, '--report', at('page.html')]],
    ['reach', [owl, '--box', box, '--samples', '10000000', '--report', at('page.html')]],
    ['load', [owl, '--stream', wild, '--report', at('page.html')]],
    ['replay', [owl, long, '--plant', '-o', at('new.csv'), '--report', at('page.html')]],
    ['tune', [owl, '--stream', long, '-o', at('new.yaml'), '--report', at('page.html')]],
    ['retime', [owl, wild, '--fit', '-o', at('new.csv'), '--report', at('page.html')]],
  ] as const)('ends %s with 130, a word, and no file, long before its work is done', async (command, argv) => {
    const { code, err, took_ms } = await interrupted(start(command, ...argv), 'SIGINT', 2000);
    expect([code, err]).toEqual([130, 'interrupted\n']);
    // Each would take minutes. It is heard within 30 ms on a quiet machine; nothing is timed closely here.
    expect(took_ms).toBeLessThan(5000);
    expect(readdirSync(out)).toEqual([]);
  });

  it('is one by other signals too, with their codes', async () => {
    expect(await interrupted(start('why', owl, long), 'SIGTERM', 1500)).toMatchObject({ code: 143 });
    expect(await interrupted(start('why', owl, long), 'SIGHUP', 1500)).toMatchObject({ code: 129 });
  });

  it('is heard while standard input, or a pipe with a name, has nothing to read', async () => {
    expect(await interrupted(start('replay', owl, '-'), 'SIGINT', 1500)).toMatchObject({ code: 130 });
    expect(await interrupted(start('check', '-'), 'SIGINT', 1500)).toMatchObject({ code: 130 });
    const pipe = files.path('pipe');
    execFileSync('mkfifo', [pipe]);
    for (const argv of [
      ['replay', owl, pipe],
      ['check', pipe],
      ['solve', pipe, '--pose=0,0,0,0,0,0'],
    ]) {
      const child = start(...argv);
      const { took_ms } = await interrupted(child, 'SIGINT', 1500);
      // Once the system has been asked to open it, the process can only end as the signal ends one.
      expect([130, 'SIGINT']).toContain(child.exitCode ?? child.signalCode);
      expect(took_ms).toBeLessThan(2000);
    }
  });
});

it('says so when standard output takes no more, and exits 2', async () => {
  const full = openSync('/dev/full', 'w');
  for (const argv of [['--help'], ['check', owl], ['reach', owl], ['reach', owl, '--json'], ['solve', owl, '--json']]) {
    const child = spawn(process.execPath, [bin, ...argv], { stdio: ['ignore', full, 'pipe'] });
    const { code, err } = await ended(child);
    expect([code, err]).toEqual([2, expect.stringContaining('standard output: the disk is full')]);
  }
  closeSync(full);
});

it('exits 2 when the command is not right', async () => {
  expect((await ended(start('replay', owl))).code).toBe(2);
});
