/** `posewright stage`: what it says, and what it refuses before anything listens. */
import { copyFileSync, mkdtempSync } from 'node:fs';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { runCli } from '../../../host/cli/main.ts';

const folder = mkdtempSync(join(tmpdir(), 'posewright-stage-cli-'));
const OWL = join(folder, 'night-owl.yaml');
copyFileSync('host/demo/night-owl.yaml', OWL);

interface Ran {
  code: number | null;
  out: string;
  err: string;
  interrupt: (() => void) | null;
}

function start(...argv: string[]): { ran: Ran; ended: Promise<number> } {
  const ran: Ran = { code: null, out: '', err: '', interrupt: null };
  const io = {
    stdout: { write: (text: string) => (ran.out += text) },
    stderr: { write: (text: string) => (ran.err += text) },
    stdin: process.stdin,
    env: {},
    now: () => 0,
    onInterrupt: (handler: (() => void) | null) => (ran.interrupt = handler),
  };
  return { ran, ended: runCli(['stage', ...argv], io) };
}

const status = (url: string): Promise<number> =>
  new Promise((resolve, reject) => {
    request(url, (response) => {
      response.resume();
      resolve(response.statusCode ?? 0);
    })
      .on('error', reject)
      .end();
  });

it('prints its address, serves the page there, and ends on an interrupt', async () => {
  const { ran, ended } = start(OWL, '--json');
  while (ran.interrupt === null) await new Promise((resolve) => setTimeout(resolve, 10));
  const { url } = JSON.parse(ran.out);
  expect(url).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/[\w-]{24}\/$/);
  expect(await status(url)).toBe(200);
  expect(await status(url.replace(/\/[\w-]{24}\//, '/'))).toBe(403);
  ran.interrupt();
  expect(await ended).toBe(0);
  await expect(status(url)).rejects.toThrow();
});

it('says when its port is taken', async () => {
  const { ran, ended } = start(OWL, '--json');
  while (ran.interrupt === null) await new Promise((resolve) => setTimeout(resolve, 10));
  const { port } = new URL(JSON.parse(ran.out).url);
  const second = start(OWL, '--port', port);
  expect(await second.ended).toBe(2);
  expect(second.ran.err).toContain(port);
  ran.interrupt();
  await ended;
});

it.each([
  [['-'], 'takes are kept in the rig’s folder'],
  [[join(folder, 'no.yaml')], 'no such file'],
  [[OWL, '--port', '70000'], 'is no port: a whole number from 0 to 65535'],
  [[OWL, '--port', 'x'], 'is no port'],
  [[OWL, '--on', 'moon'], '"moon" is not a target'],
])('refuses %j in words', async (argv, words) => {
  const { ran, ended } = start(...argv);
  expect(await ended).toBe(2);
  expect(ran.err).toContain(words);
  expect(ran.out).toBe('');
});
