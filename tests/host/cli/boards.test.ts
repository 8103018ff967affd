/** What goes wrong between a user and a board: exit code 2, words that say what to do next, and a board that is as it was. */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, readdirSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { STATES } from '../../../host/controller/messages.ts';
import { Conversation } from '../../../host/replay/conversation.ts';
import { serialTarget } from '../../../host/targets/serial.ts';
import { firmwareOf, has } from '../../boards/firmware.ts';
import { GENTLE, OWL, needController, run, scratch, stream } from './fixture.ts';

const files = scratch();
const board = (text: string): string => `${OWL}board: ${text}\n`;
const owl = files.put('owl.yaml', board('{ kind: pico, stop: { pin: 20 }, power_pin: 21 }'));
const gentle = files.put('gentle.csv', GENTLE);
const clock = (): number => performance.now();
const silent = { telemetry: () => undefined };

let child: ChildProcess | null = null;
beforeAll(() => {
  needController();
  if (has('gcc')) firmwareOf('native');
});
afterEach(() => {
  child?.kill('SIGKILL');
  child = null;
});
afterAll(() => {
  files.remove();
});

/** Starts the native board; resolves its terminal. */
async function native(): Promise<string> {
  const settings = { POSEWRIGHT_MODE: 'pty', ASAN_OPTIONS: 'detect_leaks=0' };
  child = spawn(firmwareOf('native').elf, {
    stdio: ['ignore', 'pipe', 'inherit'],
    env: { ...process.env, ...settings },
  });
  const [path] = (await once(createInterface(child.stdout!), 'line')) as [string];
  return path;
}

/** Ends with 2, and says so. */
async function refused(argv: readonly string[], words: RegExp): Promise<void> {
  const { code, out, err } = await run(argv);
  expect([code, out]).toEqual([2, '']);
  expect(err).toMatch(words);
  const { code: again, out: document } = await run([...argv, '--json']);
  expect(again).toBe(2);
  expect(JSON.parse(document)).toMatchObject({ ok: false, problems: [{ message: expect.stringMatching(words) }] });
}

describe('a board', () => {
  it('that there is not', async () => {
    await refused(['build', '--board', 'nano'], /no board 'nano'.*f405, native, pico/);
    await refused(['flash', owl, '--board', 'nano'], /rig is for pico/);
  });

  it('that is not the rig’s', async () => {
    await refused(
      ['flash', owl, '--board', 'f405'],
      /board\.kind: the rig is for pico.*firmware for f405.*Nothing was written/,
    );
  });

  it('that lacks a pin of the rig: a stop input that would do nothing', async () => {
    const rig = files.put('pins.yaml', board('{ kind: pico, stop: { pin: 25 } }'));
    await refused(['flash', rig, '--board', 'pico'], /18 to 22 and 26 to 27.*the stop input would do nothing/);
  });

  it('without a compiler', async () => {
    const before = process.env['PATH'];
    process.env['PATH'] = files.path('nowhere');
    try {
      await refused(['build', '--board', 'pico'], /arm-none-eabi-gcc is not on this machine: npm run setup/);
      await refused(['flash', owl, '--board', 'pico'], /npm run setup/);
    } finally {
      process.env['PATH'] = before;
    }
  });

  const builds = it.skipIf(!has('arm-none-eabi-gcc'));
  builds('whose drive is another’s, or is not there', async () => {
    const drive = files.path('drive');
    mkdirSync(drive);
    await refused(['flash', owl, '--board', 'pico', '--to', drive], /no drive of a board that waits for firmware/);
    expect(readdirSync(drive)).toEqual([]);
  });
});

describe.skipIf(!has('gcc'))('a port', () => {
  it('that is not there', async () => {
    await refused(
      ['replay', owl, gentle, '--on', 'serial:/dev/no-such-port'],
      /no port \/dev\/no-such-port: is the board plugged in/,
    );
    await refused(['send', owl, '--on', 'serial:/dev/no-such-port'], /is the board plugged in/);
  });

  it('that another program holds', async () => {
    const path = await native();
    const talk = await Conversation.open(serialTarget(path, clock), silent);
    await refused(['replay', owl, gentle, '--on', `serial:${path}`], /is busy: another program holds it/);
    // Whoever holds it still does.
    expect((await talk.who()).fingerprint).toBe(0);
    await talk.session.close();
  });

  it('where nobody answers', async () => {
    const path = await native();
    child?.kill('SIGSTOP');
    await refused(['send', owl, '--on', `serial:${path}`], /nobody answers on the link: is the board powered/);
  });

  it('of a board that runs another rig: it keeps it', async () => {
    const path = await native();
    const other = files.put('other.yaml', OWL.replace('rest_deg: -20', 'rest_deg: -19'));
    const { code, out } = await run(['send', other, '--on', `serial:${path}`, '--json']);
    expect(code).toBe(0);
    await refused(
      ['replay', owl, gentle, '--on', `serial:${path}`],
      /the board runs another rig .*posewright send RIG --on/,
    );
    const talk = await Conversation.open(serialTarget(path, clock), silent);
    expect((await talk.who()).fingerprint.toString(16).padStart(8, '0')).toBe(JSON.parse(out).fingerprint);
    await talk.session.close();
  });

  it('whose host is killed in mid-stream: the prop holds, then settles by itself', async () => {
    const path = await native();
    const rig = files.put('brief.yaml', OWL.replace('tick_hz: 200', 'tick_hz: 200\n  hold_s: 2'));
    const long = files.put('long.csv', stream(60, { yaw_deg: (t_s) => 5 * Math.sin(t_s) }));
    const argv = ['dist/posewright.mjs', 'replay', rig, long, '--on', `serial:${path}`];
    const host = spawn(process.execPath, argv, { stdio: 'ignore' });
    // First pulses one by one, home, to the stream's first pose: ten seconds.
    await new Promise((resolve) => setTimeout(resolve, 13_000));
    expect(host.exitCode).toBeNull();
    host.kill('SIGKILL');
    await once(host, 'exit');
    const talk = await Conversation.open(serialTarget(path, clock), silent);
    await talk.until(() => false, 1_200_000);
    expect(STATES[(await talk.who()).state]).toBe('holding');
    await talk.report(4);
    expect(await talk.until(() => talk.state === 'limp', 20e6)).toBe(true);
    expect([...talk.latest.pulse_us].every((us) => us === 0)).toBe(true);
    await talk.session.close();
  });
});
