/** A night's commands in their order, on the firmware as a program on this computer: rig, night, list, a show, the log. In real time. */
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { startNative } from '../../host/targets/native.ts';
import { run } from '../host/cli/fixture.ts';
import { firmwareOf } from './firmware.ts';

let folder = '';
let owl = '';
let board: Awaited<ReturnType<typeof startNative>>;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'posewright-night-'));
  owl = join(folder, 'owl.yaml');
  const text = readFileSync('host/demo/night/night-owl.yaml', 'utf8');
  writeFileSync(owl, text.replace('board: { kind: pico,', 'board: { kind: native,'));
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
  expect((await run(['shows', 'list', ...on])).err).toMatch(/has no night stored/);
  await done('shows', 'pack', owl, ...shows, '-o', night);
  expect((await run(['shows', 'send', night, ...on])).err.replaceAll(/\s+/g, ' ')).toMatch(/has (no|a) rig/);
  await done('send', owl, ...on);
  expect(await done('shows', 'send', night, ...on)).toMatch(/has the night: dusk, startle \(3\.8 KiB\)/);
  expect(await done('shows', 'list', ...on)).toMatch(/1 dusk 20\.5 [^]*2 startle 4\.5/);
  const said = await done('shows', 'run', 'startle', ...on);
  expect(said).toMatch(/it warns[^]*it rouses[^]*it plays for 4\.5 s[^]*startle has played to its end/);
  await done('shows', 'stop', ...on);
  const log = await done('log', ...on, '--rig', owl);
  expect(log).toMatch(/it began to move, for show 2\n[^]*it came to rest/);
  expect(log).toMatch(/\d+ records of the last motion in memory/);
});

it('starts nothing while the button is held down, and says so at once', { timeout: 60_000 }, async () => {
  const flash = join(folder, 'flash-held');
  copyFileSync(join(folder, 'flash'), flash);
  const held = await startNative({
    elf: firmwareOf('native').elf,
    clock: () => performance.now(),
    environment: { POSEWRIGHT_FLASH: flash, POSEWRIGHT_CLOSED: String(1 << 19) },
  });
  const { code, out, err } = await run(['shows', 'run', 'startle', '--on', `serial:${held.path}`]);
  await held.stop();
  expect([code, out]).toEqual([2, expect.not.stringContaining('it waits')]);
  expect(err.replaceAll(/\s+/g, ' ')).toMatch(/starts nothing while its button is held down/);
});
