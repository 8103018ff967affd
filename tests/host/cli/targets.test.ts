/** `--on usb`: the board that is found is named, and used as a serial port is. An emulated pico: the cable that the rig names. */
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { firmwarePlaces } from '../../../host/cli/assets.ts';
import type { Io } from '../../../host/cli/io.ts';
import { isPort, targetFault, targetOf } from '../../../host/cli/targets.ts';
import { compileBoard } from '../../../host/firmware/compile.ts';
import { Conversation } from '../../../host/replay/conversation.ts';
import type { Board } from '../../../host/rig/rig.ts';
import type { FoundPort } from '../../../host/targets/usb.ts';
import { has } from '../../boards/firmware.ts';
import { run, scratch } from './fixture.ts';

const ioTo = (tell: (text: string) => void): Io => ({
  stdout: { write: () => undefined },
  stderr: { write: tell },
  stdin: (async function* () {})(),
  env: {},
  now: () => 0,
  onInterrupt: () => undefined,
});

const folder = scratch();
afterAll(folder.remove);

async function found(on: string, ports: readonly FoundPort[]): Promise<{ name: string; proven: string; told: string }> {
  let told = '';
  const io = ioTo((text) => (told += text));
  const { name, proven } = await targetOf(on, io, null, { ports: () => Promise.resolve(ports), system: 'linux' });
  return { name, proven, told };
}

const owl: FoundPort = { path: '/dev/ttyACM0', manufacturer: 'posewright', serialNumber: '12\u001b34' };
const stork: FoundPort = { path: '/dev/ttyACM1', manufacturer: 'posewright', serialNumber: '56' };

describe('usb', () => {
  it('is a target, whose board somebody has plugged in', () => {
    expect([targetFault('usb'), targetFault('usb:56'), isPort('usb'), isPort('usb:56')]).toEqual([
      null,
      null,
      true,
      true,
    ]);
    expect([targetFault('usb:'), isPort('sim')]).toEqual([expect.stringMatching(/is not a target/), false]);
  });

  it('is the board that there is, named without what steers a terminal', async () => {
    const { name, proven, told } = await found('usb', [owl]);
    expect([name, proven]).toEqual(['serial:/dev/ttyACM0', 'hardware']);
    expect(told).toMatch(/^the posewright board on \/dev\/ttyACM0, serial 12\S*34\n$/);
    expect(told).not.toMatch(/\u001b/);
  });

  it('is the one that is meant, and no board is a refusal', async () => {
    expect((await found('usb:56', [owl, stork])).name).toBe('serial:/dev/ttyACM1');
    await expect(found('usb', [owl, stork])).rejects.toThrow(/2 posewright boards are on USB/);
    await expect(found('usb', [])).rejects.toThrow(/no posewright board is on USB/);
  });
});

describe.skipIf(!has('arm-none-eabi-gcc'))('emulated:pico', () => {
  beforeAll(() => {
    compileBoard(firmwarePlaces(), 'pico');
  }, 120_000);

  const pico: Board = { kind: 'pico', link: 'usb', baud: null, stop: null, power_pin: null };
  it.each<[string, Board | null, boolean]>([
    ['USB for a rig that names no board', null, true],
    ['USB', pico, true],
    ['UART0', { ...pico, link: 'uart0', baud: 500_000 }, false],
  ])('is on %s', async (_, board, byUsb) => {
    const target = await targetOf(
      'emulated:pico',
      ioTo(() => undefined),
      board,
    );
    const talk = await Conversation.open(target, { telemetry: () => undefined });
    // A USB host waits for 100 ms before it looks who is there (USB 2.0 7.1.7.3).
    expect((await talk.who()).now_us > 100_000).toBe(byUsb);
    await talk.session.close();
  });

  it('plays the demo’s night as it is shipped: the stop loop is closed, button and mat are open', async () => {
    const demo = (name: string): string => `host/demo/night/${name}`;
    const [rig, night] = [demo('night-owl.yaml'), folder.path('night.pwshow')];
    const packed = await run(['shows', 'pack', rig, demo('dusk.csv'), demo('startle.csv'), '-o', night]);
    expect(packed.code, packed.err).toBe(0);
    const argv = ['shows', 'run', 'startle', '--on', 'emulated:pico', '--night', night, '--rig', rig];
    const { code, out, err } = await run(argv);
    expect([code, out], err).toEqual([0, expect.stringMatching(/it warns[^]*it plays for 4\.5 s[^]*to its end/)]);
  }, 120_000);
});
