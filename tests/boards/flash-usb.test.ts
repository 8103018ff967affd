/** `flash` over the emulated cable to the pico's own firmware: found, asked who, restarted, written to, and asked again what it runs. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { flash } from '../../host/cli/flash/flash.ts';
import { imageFingerprint, packImage } from '../../host/controller/image.ts';
import { slowed } from '../../host/controller/slowed.ts';
import { Conversation } from '../../host/replay/conversation.ts';
import { readRig } from '../../host/rig/read.ts';
import { has } from './firmware.ts';
import { PicoOnUsb, type Ways } from './pico-on-usb.ts';

const TOOLS = has('arm-none-eabi-gcc');
vi.setConfig({ testTimeout: 120_000 });

const RIG = 'host/demo/night-owl.yaml';
const SERIAL = 'E6616408435A9B27';
const wanted = imageFingerprint(packImage(slowed(readRig(readFileSync(RIG, 'utf8')).rig!)));

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'posewright-usb-'));
});
afterEach(() => {
  rmSync(folder, { recursive: true });
});

/** A board with another rig in its flash, limp. */
function pluggedIn(ways: Partial<Ways> = {}): PicoOnUsb {
  const computer = new PicoOnUsb(folder, ways);
  const { prop } = computer;
  for (const frame of prop.send.image(packImage(prop.rig))) prop.tell(frame, 12_000);
  prop.run(50_000);
  return computer;
}

async function flashed(computer: PicoOnUsb) {
  const told = { out: '', err: '' };
  const io = {
    stdout: { write: (text: string) => (told.out += text) },
    stderr: { write: (text: string) => (told.err += text) },
    stdin: (async function* () {})(),
    env: {},
    now: () => computer.now_ms(),
    onInterrupt: () => undefined,
  };
  const code = await flash(RIG, { board: 'pico' }, io, computer);
  return { code, ...told };
}

/** The fingerprint of the rig in force, and the state; asked over the cable. */
async function runs(computer: PicoOnUsb): Promise<readonly [number, number]> {
  const [port] = await computer.ports();
  const talk = await Conversation.open(computer.target(port!.path), { telemetry: () => undefined });
  const { fingerprint, state } = await talk.who();
  await talk.session.close();
  return [fingerprint, state];
}

describe.skipIf(!TOOLS)('flash over the cable', () => {
  it('restarts a limp board, writes to its drive, and hears the new rig from it', async () => {
    const computer = pluggedIn();
    const before = await runs(computer);
    expect(before[0]).toBe(imageFingerprint(packImage(computer.prop.rig)));
    const { code, out, err } = await flashed(computer);
    expect([code, err]).toEqual([
      0,
      expect.stringMatching(
        new RegExp(
          `the board on /dev/ttyACM0, serial ${SERIAL} restarts into its boot loader; waiting for its drive\nwaiting for the board to come back on USB\n$`,
        ),
      ),
    ]);
    const shown = wanted.toString(16).padStart(8, '0');
    expect(out).toContain(
      `the board is back on /dev/ttyACM0, serial ${SERIAL}, and runs this rig (fingerprint ${shown})`,
    );
    // 0: limp.
    expect(await runs(computer)).toEqual([wanted, 0]);
    expect(computer.prop.machine).toMatchObject({ faults: [], bites: 0, bootLoader: null });
  });

  it('leaves a prop that stands as it is', async () => {
    const computer = pluggedIn();
    computer.prop.wake();
    const { code, err } = await flashed(computer);
    expect([code, err]).toEqual([
      2,
      expect.stringMatching(
        /is not restarted: it is (live|holding), and a restart would drop the prop: settle it first/,
      ),
    ]);
    expect([computer.prop.machine.bootLoader, computer.drives()]).toEqual([null, []]);
  });

  it('gives up on a drive that nobody mounts, and has written nothing', async () => {
    const computer = pluggedIn({ mountedAfter_ms: Infinity });
    const before = Buffer.from(computer.prop.machine.flash);
    const { code, err } = await flashed(computer);
    expect([code, err]).toEqual([
      2,
      expect.stringMatching(/after 15 s no drive of it is mounted.*Nothing was written/),
    ]);
    expect(computer.prop.machine.bootLoader).not.toBeNull();
    expect(before.equals(computer.prop.machine.flash)).toBe(true);
  });

  it('says so when the board comes back with the rig it had', async () => {
    const old: number[] = [];
    // The firmware's blocks arrive, those of the rig at the end are lost.
    const computer = pluggedIn({ takes: (uf2) => uf2.subarray(0, uf2.length - 32 * 512) });
    old.push((await runs(computer))[0]);
    const { code, err } = await flashed(computer);
    expect([code, err]).toEqual([1, expect.stringMatching(/came back on .*with another rig \(fingerprint/)]);
    expect((await runs(computer))[0]).toBe(old[0]);
  });
});
