/** Joining a program that has just been started: its path is there before it listens. */
import { mkdtempSync, renameSync, rmSync } from 'node:fs';
import { type Server, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { connectTo } from '../../../host/targets/socket.ts';

const folder = mkdtempSync(join(tmpdir(), 'posewright-socket-'));
afterAll(() => {
  rmSync(folder, { recursive: true });
});
const listening = (path: string): Promise<Server> =>
  new Promise((resolve) => {
    const server: Server = createServer().listen(path, () => {
      resolve(server);
    });
  });

/** A path that is bound and that nobody listens at. */
async function bound(name: string): Promise<string> {
  const server = await listening(join(folder, 'once'));
  const path = join(folder, name);
  renameSync(join(folder, 'once'), path);
  await new Promise((resolve) => server.close(resolve));
  return path;
}

it('waits for a path that refuses until somebody listens at it', async () => {
  const path = await bound('late');
  const socket = connectTo(path, 10_000);
  await new Promise((resolve) => setTimeout(resolve, 60));
  const other = join(folder, 'other');
  const server = await listening(other);
  renameSync(other, path);
  (await socket).destroy();
  server.close();
});

it('gives up in time, and at once where there is no path', async () => {
  await expect(connectTo(await bound('never'), 20)).rejects.toThrow('ECONNREFUSED');
  await expect(connectTo(join(folder, 'nowhere'), 10_000)).rejects.toThrow('ENOENT');
});
