/** Flashing over the cable alone, with a board that there is not: every way it can end, and that it ends. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Way, type Written, wayTo, writeOver } from '../../../host/cli/flash/over-usb.ts';
import { NotBack } from '../../../host/cli/flash/reboot.ts';
import { imageFingerprint, packImage } from '../../../host/controller/image.ts';
import { FirmwareError, readBoard } from '../../../host/firmware/compile.ts';
import { flashFile } from '../../../host/firmware/place.ts';
import { TargetError } from '../../../host/replay/conversation.ts';
import type { FoundPort } from '../../../host/targets/usb.ts';
import { rigOf } from '../../assembly/rigs.ts';
import { run } from './fixture.ts';
import { type Fake, type FakeCable, fakeCable } from './fake-board.ts';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'posewright-usb-'));
});
afterEach(() => {
  rmSync(folder, { recursive: true });
});

const pico = readBoard('boards', 'pico');
const image = packImage(rigOf());
const flashed = { file: flashFile(pico, new Uint8Array(1000), image), fingerprint: imageFingerprint(image) };
const STORK: FoundPort = { path: '/dev/ttyACM8', manufacturer: 'posewright', serialNumber: 'F00D' };

const finish = (cable: FakeCable, way: Way): Promise<Written> =>
  writeOver(cable, way, pico, flashed, folder, (line) => cable.told.push(line));
/** The whole of it. */
async function flash(given: Partial<Fake> = {}, others: readonly FoundPort[] = [], usb?: string) {
  const cable = fakeCable(folder, given, others);
  const start_ms = cable.now_ms();
  const over = (): number => cable.now_ms() - start_ms;
  try {
    return { ...(await finish(cable, await wayTo(cable, pico, { usb }))), cable, took_ms: over(), error: null };
  } catch (error) {
    if (!(error instanceof Error)) throw error;
    return { placed: '', back: null, cable, took_ms: over(), error };
  }
}

describe('a running board', () => {
  it('is restarted, written to, and asked what it runs', async () => {
    const { placed, back, cable, error } = await flash();
    expect(error).toBeNull();
    expect(placed).toMatch(/RPI-RP2/);
    expect(back?.path).toBe('/dev/ttyACM3');
    expect(cable.told).toEqual([
      'the board on /dev/ttyACM0, serial E661 restarts into its boot loader; waiting for its drive',
      'waiting for the board to come back on USB',
    ]);
  });

  it('that restarts before its answer is heard has obeyed', async () => {
    expect((await flash({ answersBoot: false })).back?.path).toBe('/dev/ttyACM3');
  });

  it('whose drive takes long is told to be mounted, and still written to', async () => {
    const { back, cable } = await flash({ mountedAfter_ms: 9000 });
    expect(back).not.toBeNull();
    expect(cable.told[1]).toMatch(/no drive yet: it may have to be mounted/);
  });

  it('among others is the one that is meant, and the one waited for', async () => {
    expect((await flash({}, [STORK])).error?.message).toMatch(/2 posewright boards are on USB/);
    expect((await flash({}, [STORK], 'e661')).back?.serialNumber).toBe('E661');
  });
});

describe('is left as it is, and nothing is written:', () => {
  it.each<[string, Partial<Fake>, RegExp]>([
    [
      'a prop that stands',
      { state: 'live' },
      /is not restarted: it is live, and a restart would drop the prop: settle it first/,
    ],
    ['one that settles', { state: 'settling' }, /it is settling.*settle it first/],
    ['one that tripped', { state: 'tripped' }, /it has tripped.*clear it.*BOOTSEL/],
    ['another board', { board: 2 }, /it is a f405, not a pico/],
    [
      'firmware that does not know how',
      { knowsBoot: false },
      /does not answer.*does not know how to restart: hold its BOOTSEL/,
    ],
  ])('%s', async (_, given, words) => {
    const { error, cable, took_ms } = await flash(given);
    expect(error).toBeInstanceOf(TargetError);
    expect(error?.message).toMatch(words);
    expect([cable.drives(), (await cable.ports()).length]).toEqual([[], 1]);
    expect(took_ms).toBeLessThan(3000);
  });

  it('a prop that was roused while the compiler ran', async () => {
    const given: Partial<Fake> = {};
    const cable = fakeCable(folder, given);
    const way = await wayTo(cable, pico, {});
    const roused = fakeCable(folder, { state: 'rousing' });
    await expect(finish(roused, way)).rejects.toThrow(/it is no longer limp: settle it first/);
  });

  it('no board at all', async () => {
    const cable = fakeCable(folder, {});
    const none = { ...cable, ports: () => Promise.resolve([]) };
    await expect(wayTo(none, pico, {})).rejects.toThrow(
      /^no drive of a pico is mounted: hold its BOOTSEL.*--to\. A running board would be restarted into it, but no posewright board is on USB/,
    );
  });
});

describe('every wait ends:', () => {
  it('a drive that nobody mounts: nothing was written', async () => {
    const { error, took_ms } = await flash({ mountedAfter_ms: Infinity });
    expect(error).toBeInstanceOf(TargetError);
    expect(error?.message).toMatch(
      /after 15 s no drive of it is mounted: mount it, and give this command again\. Nothing was/,
    );
    expect([took_ms >= 15_000, took_ms < 17_000]).toEqual([true, true]);
  });

  it('a board that does not come back', async () => {
    const { error, took_ms } = await flash({ backAfter_ms: Infinity });
    expect(error).toBeInstanceOf(NotBack);
    expect(error?.message).toMatch(/was written, but within 15 s it did not come back on USB/);
    expect(took_ms).toBeLessThan(20_000);
  });

  it('one that is back and cannot be opened', async () => {
    const { error } = await flash({ shutFor_ms: Infinity });
    expect(error).toBeInstanceOf(NotBack);
    expect(error?.message).toMatch(/it came back on \/dev\/ttyACM3, serial E661, but \/dev\/ttyACM3 cannot be opened/);
  });

  it('one that runs another rig', async () => {
    const { error } = await flash({ keepsOld: true });
    expect(error).toBeInstanceOf(NotBack);
    expect(error?.message).toMatch(/with another rig \(fingerprint 00001234, not [\da-f]{8}\): flash it again/);
  });
});

describe('a board whose button was held', () => {
  it('is written to at its drive, and heard when it is back, among others', async () => {
    const cable = fakeCable(folder, {}, [STORK]);
    cable.pressed();
    const { back } = await finish(cable, await wayTo(cable, pico, {}));
    expect([back?.path, cable.told]).toEqual(['/dev/ttyACM3', ['waiting for the board to come back on USB']]);
  });

  it('is not waited for where its drive stays: what was read back is all that is known', async () => {
    const cable = fakeCable(folder, {});
    writeFileSync(join(folder, 'INFO_UF2.TXT'), 'Board-ID: RPI-RP2\r\n');
    const { placed, back } = await finish(cable, await wayTo(cable, pico, { to: folder }));
    expect([placed, back, cable.told]).toEqual([expect.stringMatching(/read back$/), null, []]);
    expect(readFileSync(join(folder, 'posewright-pico.uf2')).length).toBe(flashed.file.bytes.length);
  });
});

describe('flash --on', () => {
  it.each([
    [['--on', 'serial:/dev/ttyACM0'], /found serial:\/dev\/ttyACM0; allowed: usb or usb:SERIAL/],
    [['--on', 'usb:'], /found usb:; allowed/],
    [['--on', 'usb', '--to', '/tmp'], /found beside --to; allowed: one of them/],
  ])('%s is refused', async (options, words) => {
    const { code, err } = await run(['flash', 'no.yaml', '--board', 'pico', ...options]);
    expect([code, err]).toEqual([2, expect.stringMatching(words)]);
  });

  it('is not for a board that dfu-util writes', async () => {
    await expect(wayTo(fakeCable(folder, {}), readBoard('boards', 'f405'), { usb: '' })).rejects.toThrow(FirmwareError);
  });
});
