/** What goes wrong between a user and a board: exit code 2, words that say what to do next, and a board that is as it was. */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { delimiter } from 'node:path';
import { createInterface } from 'node:readline';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { compileBoard } from '../../../host/firmware/compile.ts';
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

/** Starts the native board; resolves its terminal. environment: see boards/native/board.c. */
async function native(environment: Readonly<Record<string, string>> = {}): Promise<string> {
  const settings = { ...environment, POSEWRIGHT_MODE: 'pty', ASAN_OPTIONS: 'detect_leaks=0' };
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
    await refused(['flash', owl, '--board', 'nano'], /no board 'nano'.*f405, native, pico/);
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

  it('is named in the help, which says which there are', async () => {
    expect((await run(['build', '--help'])).out).toMatch(/which board: f405, native, pico, template/);
    expect((await run(['flash', '--help'])).out.replaceAll(/\s+/g, ' ')).toMatch(
      /which board: f405, pico; without, the/,
    );
  });

  it('is the rig’s where the command names none', async () => {
    const plain = files.put('none.yaml', OWL);
    await refused(['build'], /is needed without a rig; allowed: f405, native, pico/);
    await refused(['build', plain], /since .*none\.yaml has no board; allowed: f405, native, pico/);
    await refused(['flash', plain], /since .*none\.yaml has no board; allowed: f405, native, pico/);
    await refused(['flash', owl, '--to', files.path('no-drive')], /no-drive is not there/);
  });

  it.skipIf(!has('gcc'))('is built for without its name', async () => {
    const rig = files.put('native.yaml', board('{ kind: native }'));
    const { code, out } = await run(['build', rig]);
    expect([code, out]).toEqual([0, expect.stringMatching(/^firmware for native\n/)]);
  });

  it('without flash, or without a place to write it, is refused before the compiler is asked', async () => {
    const before = process.env['PATH'];
    process.env['PATH'] = files.path('nowhere');
    const plain = files.put('plain.yaml', OWL);
    try {
      await refused(['flash', plain, '--board', 'native'], /native has no flash to write: send it the rig/);
      await refused(['flash', plain, '--board', 'pico', '--to', files.path('no-drive')], /no-drive is not there/);
      await refused(['flash', plain, '--board', 'f405'], /dfu-util is not on this machine/);
      await refused(['flash', plain, '--board', 'f405', '--to', files.path('.')], /leave --to out/);
    } finally {
      process.env['PATH'] = before;
    }
  });

  it.skipIf(!has('gcc'))('whose firmware cannot be written anywhere', () => {
    const places = { boards: 'boards', wasm: 'build/controller.wasm', out: '/proc/posewright' };
    expect(() => compileBoard(places, 'native')).toThrow(
      /firmware is made in \/proc\/posewright, where nothing can be written \(ENOENT\)/,
    );
  });

  it('without a compiler', async () => {
    const drive = files.path('pico-drive');
    mkdirSync(drive);
    files.put('pico-drive/INFO_UF2.TXT', 'Board-ID: RPI-RP2\n');
    const before = process.env['PATH'];
    process.env['PATH'] = files.path('nowhere');
    try {
      await refused(['build', '--board', 'pico'], /arm-none-eabi-gcc is not on this machine: npm run setup/);
      await refused(['flash', owl, '--board', 'pico', '--to', drive], /npm run setup/);
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

it.skipIf(!has('arm-none-eabi-gcc'))('a flash that does not hold what was written ends flashing with 1', async () => {
  const rig = files.put('f405.yaml', board('{ kind: f405 }'));
  const folder = files.path('dfu');
  mkdirSync(folder);
  // A stand-in of our own, not the program: what it reads back is one byte more than what it was given.
  const keep = `${folder}/flash`;
  const steps = `case "$1" in -D) cp "$2" ${keep};; -U) cp ${keep} "$2"; printf x >> "$2";; esac`;
  writeFileSync(`${folder}/dfu-util`, `#!/bin/sh\nwhile [ $# -gt 0 ]; do ${steps}; shift; done\n`, { mode: 0o755 });
  const before = process.env['PATH'];
  process.env['PATH'] = `${folder}${delimiter}${before ?? ''}`;
  try {
    const { code, out, err } = await run(['flash', rig, '--board', 'f405']);
    expect([code, out]).toEqual([1, '']);
    expect(err).toMatch(/the board does not hold what was written: try again/);
  } finally {
    process.env['PATH'] = before;
  }
});

describe('a target', () => {
  it.each([
    [
      'pico',
      /"pico" is not a target: the emulated one is called emulated:pico, and a real one is at usb, or at serial:PATH/,
    ],
    ['f405', /"f405" is not a target: the emulated one is called emulated:f405/],
    ['usb:', /is not a target/],
    [
      'emulated:moon',
      /is not a target: there is sim, emulated:pico, emulated:f405, native, usb, usb:SERIAL, serial:PATH/,
    ],
    ['emulated:', /is not a target/],
    ['serial:', /is not a target/],
    ['native:x', /is not a target/],
  ])('called %s there is not', async (on, words) => {
    await refused(['replay', owl, gentle, '--on', on], words);
    await refused(['send', owl, '--on', on], words);
  });

  it('that keeps nothing is sent nothing', async () => {
    await refused(['send', owl, '--on', 'sim'], /"sim" stores nothing.*A real board is at usb, or at serial:PATH/);
  });
});

describe.skipIf(!has('gcc'))('sending', () => {
  const plain = files.put('plain.yaml', OWL);
  const fingerprintAt = async (path: string): Promise<number> => {
    const talk = await Conversation.open(serialTarget(path, clock), silent);
    const { fingerprint } = await talk.who();
    await talk.session.close();
    return fingerprint;
  };

  it('says that a program on this computer is no board', async () => {
    const path = await native();
    const on = `serial:${path}`;
    const { code, out } = await run(['send', plain, '--on', on]);
    expect(code).toBe(0);
    expect(out).toMatch(
      /^the program on this computer \(serial:\S+\) has the rig test-owl \(\d+ bytes, fingerprint [0-9a-f]{8}\)\n$/,
    );
    expect(JSON.parse((await run(['send', plain, '--on', on, '--json'])).out)).toMatchObject({
      target: `${on}, a program on this computer`,
      proven: 'computer',
      fingerprint: (await fingerprintAt(path)).toString(16).padStart(8, '0'),
      stored: true,
    });
  });

  it('refuses what flashing refuses: another board, a pin that is not there; the board is as it was', async () => {
    const path = await native();
    const on = `serial:${path}`;
    await refused(
      ['send', owl, '--on', on],
      /board\.kind: the rig is for pico, and this is the program on this computer, a native; .*Nothing was written/,
    );
    const pins = files.put('far-pin.yaml', board('{ kind: native }').replace('pin: 9,', 'pin: 30,'));
    await refused(['send', pins, '--on', on], /found 30; a native has servo pins 2 to 17: this joint would have no/);
    // A replay would give a blank board the rig: it asks the same.
    await refused(['replay', owl, gentle, '--on', on], /board\.kind: the rig is for pico, and this is the program on/);
    await refused(['replay', pins, gentle, '--on', on], /joints\.\w+\.pin: found 30; a native has servo pins 2 to 17/);
    expect(await fingerprintAt(path)).toBe(0);
  });

  it('to a flash that does not take it ends with 1, again and again, and a replay says so too', async () => {
    const path = await native({ POSEWRIGHT_FLASH_WEARS_OUT_AFTER: '100' });
    const on = `serial:${path}`;
    for (let n = 0; n < 2; n++) {
      const { code, out } = await run(['send', plain, '--on', on]);
      expect(code).toBe(1);
      expect(out).toMatch(
        /^the program on this computer \(serial:\S+\) runs the rig test-owl \(.*\), but its flash did NOT store it: when the power goes/,
      );
    }
    const { code, out } = await run(['send', plain, '--on', on, '--json']);
    expect([code, JSON.parse(out).stored]).toEqual([1, false]);
    const short = files.put('short.csv', stream(0.2, { yaw_deg: () => 0 }));
    const { err, out: played } = await run(['replay', plain, short, '--on', on]);
    expect(err).toMatch(/warning: the flash of the program on this computer did not store the rig/);
    expect(played).toMatch(/on serial:\S+, a program on this computer/);
    expect(played).toMatch(/a program on this computer, never on silicon; nothing here has run on a board/);
  });
});

describe.skipIf(!has('gcc'))('a port', () => {
  it('that is not there', async () => {
    await refused(
      ['replay', owl, gentle, '--on', 'serial:/dev/no-such-port'],
      /no port \/dev\/no-such-port: is the board plugged in/,
    );
    await refused(['send', owl, '--on', 'serial:/dev/no-such-port'], /is the board plugged in/);
    await refused(['send', owl, '--on', 'serial:/dev/null'], /\/dev\/null is not a serial port/);
  });

  it('that another program holds', async () => {
    const path = await native();
    const talk = await Conversation.open(serialTarget(path, clock), silent);
    await refused(['replay', owl, gentle, '--on', `serial:${path}`], /is busy: another program has it open/);
    // Whoever holds it still does.
    expect((await talk.who()).fingerprint).toBe(0);
    await talk.session.close();
  });

  it('where nobody answers', async () => {
    const path = await native();
    child?.kill('SIGSTOP');
    await refused(
      ['send', owl, '--on', `serial:${path}`],
      /nothing answers on the link: is the program on this computer still running\?/,
    );
  });

  it('of a board that runs another rig: it keeps it', async () => {
    const path = await native();
    const other = files.put('other.yaml', OWL.replace('rest_deg: -20', 'rest_deg: -19'));
    const { code, out } = await run(['send', other, '--on', `serial:${path}`, '--json']);
    expect(code).toBe(0);
    await refused(
      ['replay', owl, gentle, '--on', `serial:${path}`],
      /the program on this computer runs another rig .*posewright send RIG --on serial:\//,
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
