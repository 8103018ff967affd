/** The stage's server answers its own page on this computer and nobody else, and writes into the rig's folder only. */
import {
  existsSync,
  linkSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { request } from 'node:http';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import { filesBeside } from '../../../host/cli/mesh-files.ts';
import { readRig } from '../../../host/rig/read.ts';
import type { MeshShape } from '../../../host/rig/rig.ts';
import type { NightAnswer } from '../../../host/stage/about.ts';
import { Folder } from '../../../host/stage/folder.ts';
import { namedMeshes } from '../../../host/stage/meshes.ts';
import { type Stage, startStage } from '../../../host/stage/server.ts';
import { rigFrom, rigText } from '../../../host/stage/transfer.ts';

const owl = readRig(readFileSync('host/demo/night-owl.yaml', 'utf8')).rig!;
const root = mkdtempSync(join(tmpdir(), 'posewright-stage-'));
const [page, home] = [join(root, 'page'), join(root, 'home')];
const shape = { kind: 'mesh', file: 'cad/head.stl' } as unknown as MeshShape;
const meshed = { ...owl, parts: [{ ...owl.parts[0]!, shape }] };
const TOKEN = 'a-token_of-24-characters';
let stage: Stage;
let port = 0;
const opened: WebSocket[] = [];
/** Nights that were asked for: the file, then the takes. */
const nights: string[][] = [];

beforeAll(async () => {
  mkdirSync(page);
  mkdirSync(home);
  writeFileSync(join(page, 'index.html'), '<!doctype html><title>stage</title>');
  mkdirSync(join(home, 'cad'));
  for (const name of ['head.stl', 'other.stl']) writeFileSync(join(home, 'cad', name), `solid ${name}`);
  writeFileSync(join(root, 'secret.csv'), 'outside');
  writeFileSync(join(home, 'dusk.csv'), 't_s,yaw_deg\n0,0\n');
  symlinkSync(join(root, 'secret.csv'), join(home, 'link.csv'));
  const files = {
    page,
    wasm: Uint8Array.of(0, 97, 115, 109),
    rig: rigText(owl),
    folder: new Folder(home),
    mesh: namedMeshes(meshed, filesBeside(join(home, 'rig.yaml')).mesh!),
    night: (file: string, takes: readonly string[]): Promise<NightAnswer> => {
      nights.push([file, ...takes]);
      return Promise.resolve({ refused: ['not here'] });
    },
    about: '{}',
  };
  stage = await startStage(files, TOKEN, 0, (socket) => opened.push(socket));
  port = Number(new URL(stage.url).port);
});
afterAll(() => stage.close());

interface Answer {
  readonly status: number;
  readonly body: string;
  readonly headers: Record<string, string | string[] | undefined>;
}

function ask(
  path: string,
  {
    method = 'GET',
    headers = {},
    body = '',
  }: { method?: string; headers?: Record<string, string>; body?: string | Buffer } = {},
): Promise<Answer> {
  return new Promise((resolve, reject) => {
    const asked = request(
      { port, host: '127.0.0.1', path, method, headers: { host: `127.0.0.1:${port}`, ...headers } },
      (response) => {
        const chunks: Buffer[] = [];
        response.on('data', (chunk: Buffer) => chunks.push(chunk));
        response.on('end', () =>
          resolve({ status: response.statusCode!, body: Buffer.concat(chunks).toString(), headers: response.headers }),
        );
      },
    );
    asked.on('error', reject);
    asked.end(body);
  });
}
const own = (): Record<string, string> => ({ origin: `http://127.0.0.1:${port}` });
const put = (path: string, body: string | Buffer, headers: Record<string, string> = own()): Promise<Answer> =>
  ask(`/${TOKEN}${path}`, { method: 'PUT', headers, body });

describe('who is answered', () => {
  it.each([
    ['no token', '/rig', {}],
    ['another token', '/b-token_of-24-characters/rig', {}],
    ['a part of the token', `/${TOKEN.slice(0, 8)}/rig`, {}],
    ['a name bound anew to this computer', `/${TOKEN}/rig`, { host: 'evil.example:80' }],
    ['this computer’s name with another port', `/${TOKEN}/rig`, { host: '127.0.0.1:1' }],
    ['another site’s page', `/${TOKEN}/rig`, { origin: 'https://evil.example' }],
    ['a page without an address', `/${TOKEN}/rig`, { origin: 'null' }],
  ])('not %s', async (_, path, headers) => {
    const answer = await ask(path, { headers });
    expect(answer.status).toBe(403);
    expect(answer.body).not.toContain('night-owl');
  });

  it('its own page, with a policy that runs and loads nothing else', async () => {
    const answer = await ask(`/${TOKEN}/`);
    expect(answer.status).toBe(200);
    expect(answer.headers['content-security-policy']).toMatch(/default-src 'none'.*frame-ancestors 'none'/);
    expect(answer.headers['content-security-policy']).not.toMatch(/unsafe-inline|'unsafe-eval'|\*/);
    expect((await ask(`/${TOKEN}/rig`)).body).toBe(rigText(owl));
    expect((await ask(`/${TOKEN}/controller.wasm`)).headers['content-type']).toBe('application/wasm');
  });

  it('listens on this computer only', async () => {
    await expect(
      new Promise((resolve, reject) => connect(port, '::1').on('connect', resolve).on('error', reject)),
    ).rejects.toThrow();
  });

  it.each([
    ['without Origin', {}, 403],
    ['of another site', { origin: 'http://evil.example' }, 403],
    ['of another port here', { origin: 'http://127.0.0.1:1' }, 403],
  ])('does not save for a page %s', async (_, headers, status) => {
    expect((await put('/streams/x.csv', 'x', headers)).status).toBe(status);
    expect(existsSync(join(home, 'x.csv'))).toBe(false);
  });
});

describe('the socket', () => {
  const socketTo = (path: string, origin?: string): Promise<string> =>
    new Promise((resolve) => {
      const socket = new WebSocket(`ws://127.0.0.1:${port}${path}`, origin === undefined ? {} : { origin });
      socket.on('open', () => {
        resolve('open');
        socket.close();
      });
      socket.on('error', (error) => resolve(error.message));
    });

  it('opens for the own page only', async () => {
    expect(await socketTo(`/${TOKEN}/line`, `http://127.0.0.1:${port}`)).toBe('open');
    expect(await socketTo(`/${TOKEN}/line`)).toContain('403');
    expect(await socketTo(`/${TOKEN}/line`, 'http://evil.example')).toContain('403');
    expect(await socketTo('/line', `http://127.0.0.1:${port}`)).toContain('403');
    expect(await socketTo(`/${TOKEN}/rig`, `http://127.0.0.1:${port}`)).toContain('403');
    expect(opened).toHaveLength(1);
  });

  it('is closed on a message that is too long', async () => {
    const socket = new WebSocket(`ws://127.0.0.1:${port}/${TOKEN}/line`, { origin: `http://127.0.0.1:${port}` });
    const code = await new Promise((resolve) => {
      socket.on('open', () => socket.send('x'.repeat(20_000)));
      socket.on('close', resolve);
      socket.on('error', () => undefined);
    });
    expect(code).toBe(1009);
  });
});

describe('a night', () => {
  it('is asked for by the own page, with a list of takes', async () => {
    const answer = await put('/nights/my%20night.pwshow', '["dusk.csv","b.csv"]');
    expect([answer.status, JSON.parse(answer.body)]).toEqual([422, { refused: ['not here'] }]);
    expect(nights).toEqual([['my night.pwshow', 'dusk.csv', 'b.csv']]);
  });

  it.each(['', '{', '[]', '[1]', '{"takes":[]}', 'null'])('is not made of %j', async (body) => {
    const answer = await put('/nights/a.pwshow', body);
    expect([answer.status, JSON.parse(answer.body)]).toEqual([422, { refused: ['this is no list of takes'] }]);
    expect(nights).toHaveLength(1);
  });

  it('is not made for another page, nor of a list that does not end', async () => {
    expect((await put('/nights/a.pwshow', '["dusk.csv"]', {})).status).toBe(403);
    expect((await ask(`/${TOKEN}/nights/a.pwshow`)).status).toBe(404);
    const answer = await put('/nights/a.pwshow', Buffer.alloc(1e6, '[')).catch(String);
    if (typeof answer !== 'string') expect(answer.status).toBe(413);
    expect(nights).toHaveLength(1);
  });
});

describe('a mesh', () => {
  it('is given to the page where the rig names it, and no other file is', async () => {
    const mesh = await ask(`/${TOKEN}/meshes/cad/head.stl`);
    expect([mesh.status, mesh.body]).toEqual([200, 'solid head.stl']);
    for (const path of [
      'cad/other.stl',
      'head.stl',
      'dusk.csv',
      '../secret.csv',
      '..%2Fsecret.csv',
      'cad%2F..%2Fcad%2Fhead.stl',
    ])
      expect((await ask(`/${TOKEN}/meshes/${path}`)).status, path).toBe(404);
  });
});

describe('the folder', () => {
  it('names the take made on the stage that was written last: not a newer stream from elsewhere, nor what was kept of a take', () => {
    const own = mkdtempSync(join(tmpdir(), 'posewright-newest-'));
    const folder = new Folder(own);
    const put = (name: string, text: string, at_s: number): void => {
      writeFileSync(join(own, name), text);
      utimesSync(join(own, name), at_s, at_s);
    };
    expect(folder.newest()).toBeNull();
    put('dusk.csv', 't_s,yaw_deg\n0,0\n', 4000);
    expect(folder.newest()).toBeNull();
    put('a.csv', '# mark 1 hoot\n# keys yaw_deg 0 0\nt_s,yaw_deg\n0,0\n', 2000);
    put('b.csv', '# keys yaw_deg 0 0\nt_s,yaw_deg\n0,0\n', 1000);
    put('b.before-1.csv', '# keys yaw_deg 0 0\nt_s,yaw_deg\n0,0\n', 3000);
    expect(folder.newest()).toBe('a.csv');
    put('b.csv', '# keys yaw_deg 0 0\nt_s,yaw_deg\n0,0\n', 2500);
    expect(folder.newest()).toBe('b.csv');
  });

  it('lists what may be read, and no link out of it', async () => {
    expect(JSON.parse((await ask(`/${TOKEN}/streams`)).body)).toEqual(['dusk.csv']);
    expect((await ask(`/${TOKEN}/streams/link.csv`)).status).toBe(404);
  });

  it.each([
    '../secret.csv',
    '..%2fsecret.csv',
    '%2e%2e/secret.csv',
    '..\\secret.csv',
    '.hidden.csv',
    'a.txt',
    'a/b.csv',
    'con\0.csv',
    '%zz',
    'x'.repeat(200),
  ])('does not take the name %j', async (name) => {
    const path = `/streams/${name.replaceAll('\\', '%5c').replaceAll('\0', '%00')}`;
    for (const answer of [await ask(`/${TOKEN}${path}`), await put(path, 'mine')])
      expect(answer.status).toBeGreaterThanOrEqual(400);
    expect(readFileSync(join(root, 'secret.csv'), 'utf8')).toBe('outside');
  });

  it('keeps what was there before, once a session, and writes over its own', async () => {
    for (const text of ['first', 'second', 'third']) expect((await put('/streams/dusk.csv', text)).status).toBe(200);
    expect(readFileSync(join(home, 'dusk.csv'), 'utf8')).toBe('third');
    expect(readFileSync(join(home, 'dusk.before-1.csv'), 'utf8')).toBe('t_s,yaw_deg\n0,0\n');
    expect(readdirSync(home).filter((name) => name.startsWith('dusk'))).toHaveLength(2);
    // Somebody else has been at it meanwhile.
    writeFileSync(join(home, 'dusk.csv'), 'theirs');
    await put('/streams/dusk.csv', 'fourth');
    expect(readFileSync(join(home, 'dusk.before-2.csv'), 'utf8')).toBe('theirs');
    expect(JSON.parse((await ask(`/${TOKEN}/streams`)).body)).toEqual(['dusk.csv']);
  });

  it('does not write through a link, nor onto a folder', async () => {
    mkdirSync(join(home, 'room.csv'));
    linkSync(join(root, 'secret.csv'), join(home, 'hard.csv'));
    for (const name of ['link.csv', 'room.csv']) expect((await put(`/streams/${name}`, 'mine')).status).toBe(422);
    await put('/streams/hard.csv', 'mine');
    expect(readFileSync(join(root, 'secret.csv'), 'utf8')).toBe('outside');
  });

  it('refuses 100 MB of sound in words', async () => {
    const answer = await put('/sounds/long.wav', Buffer.alloc(100e6)).catch(String);
    if (typeof answer === 'string') expect(answer).toMatch(/EPIPE|ECONNRESET/);
    else expect(answer).toMatchObject({ status: 413, body: 'more than 64 MB: nothing was written' });
    expect(existsSync(join(home, 'long.wav'))).toBe(false);
  });
});

it('a rig comes through the wire as it is', () => {
  expect(rigFrom(rigText(owl))).toEqual(owl);
  const endless = {
    ...owl,
    joints: owl.joints.map((joint) => ({ ...joint, plus_gone: Infinity, minus_gone: -Infinity })),
  };
  expect(rigFrom(rigText(endless))).toEqual(endless);
});
