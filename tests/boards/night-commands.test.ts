/** A night's commands in their order, on the firmware as a program on this computer: rig, night, list, a show, the log. In real time. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { startNative } from '../../host/targets/native.ts';
import { run } from '../host/cli/fixture.ts';
import { firmwareOf } from './firmware.ts';

const OWL = 'host/demo/night/night-owl.yaml';
let folder = '';
let board: Awaited<ReturnType<typeof startNative>>;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'posewright-night-'));
  const { elf } = firmwareOf('native');
  board = await startNative({
    elf,
    clock: () => performance.now(),
    environment: { POSEWRIGHT_FLASH: join(folder, 'flash') },
  });
}, 120_000);
afterAll(async () => {
  await board.stop();
  rmSync(folder, { recursive: true });
});

it('plays a packed show from its flash, and its log tells of it', { timeout: 180_000 }, async () => {
  const on = ['--on', `serial:${board.path}`];
  const night = join(folder, 'night.pwshow');
  const shows = ['host/demo/night/dusk.csv', 'host/demo/night/startle.csv'];
  const done = async (...argv: readonly string[]): Promise<string> => {
    const { code, out, err } = await run(argv);
    expect(code, `${argv.join(' ')}\n${err}${out}`).toBe(0);
    return out.replaceAll(/[ ]+/g, ' ');
  };
  expect((await run(['shows', 'list', ...on])).err).toMatch(/has no rig/);
  await done('shows', 'pack', OWL, ...shows, '-o', night);
  expect((await run(['shows', 'send', night, ...on])).err.replaceAll(/\s+/g, ' ')).toMatch(/no rig/);
  await done('send', OWL, ...on);
  expect(await done('shows', 'send', night, ...on)).toMatch(/has the night: dusk, startle \(3\.8 KiB\)/);
  expect(await done('shows', 'list', ...on)).toMatch(/1 dusk 20\.5 [^]*2 startle 4\.5/);
  const said = await done('shows', 'run', 'startle', ...on);
  expect(said).toMatch(/it warns[^]*it rouses[^]*it plays for 4\.5 s[^]*startle has played to its end/);
  await done('shows', 'stop', ...on);
  const log = await done('log', ...on, '--rig', OWL);
  expect(log).toMatch(/it began to move in 'startle'[^]*it came to rest/);
  expect(log).toMatch(/\d+ records of the last motion in memory/);
});
