/**
 * Minutes of an exhibit on this machine's board, tick beside tick with the controller in Node: the same pulses, lines and bytes, over kills at
 * any instant and power that goes inside a byte of the flash; after each of them both have the same flash. Sanitizers are on.
 */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Lockstep } from '../../host/build/bench/boards/lockstep.ts';
import { PowerFailed, blankNor } from '../../host/controller/nor.ts';
import { type Controller, instantiateController } from '../../host/controller/controller.ts';
import { TYPE, sender } from '../../host/controller/messages.ts';
import { slotsWith } from '../../host/firmware/slot.ts';
import { WASM } from '../assembly/prop.ts';
import { Board, STORE } from '../night/board.ts';
import { INPUT_OF, LINE_OF, PIN, exhibitOf } from '../night/exhibit.ts';
import { firmwareOf } from './firmware.ts';

const SEED = 5;
const MINUTES = Number(process.env['NATIVE_MINUTES'] ?? 6);
const SLOTS_BYTES = 2 * 4096;
/** Ticks of one request: what is the matter stays so for a quarter of a second. */
const BATCH = 50;
const FIRST_PIN = 2;
const POWER_FAILED = 75;
let folder = '';

beforeAll(() => {
  firmwareOf('native');
  folder = mkdtempSync(join(tmpdir(), 'posewright-shows-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true });
});

interface Matter {
  readonly closed: number;
  readonly stopOpen: boolean;
  readonly supply_mv: number;
  readonly bytes: Uint8Array;
}

/** What is the matter, by chance: shows start by themselves and by the door. */
function chance(): () => Matter {
  const random = xoroshiro128plus(SEED);
  for (let n = 0; n < 32; n++) random.next();
  const below = (n: number): number => (random.next() >>> 0) % n;
  const send = sender();
  let held = 0;
  return () => {
    if (held > 0) held--;
    else if (below(40) === 0) held = 14;
    const bytes = [
      new Uint8Array(0),
      Uint8Array.from({ length: below(30) }, () => below(256)),
      send.report(20),
      send.command(TYPE.settle),
    ];
    const pick = below(60);
    return {
      closed:
        (held > 0 ? 1 << INPUT_OF.button : 0) |
        (below(20) === 0 ? 1 << INPUT_OF.door : 0) |
        (below(60) === 0 ? 1 << INPUT_OF.foot : 0),
      stopOpen: below(250) === 0,
      supply_mv: below(200) === 0 ? 4500 : 6000,
      bytes: bytes[pick < 6 ? 1 : pick === 6 ? 2 : pick === 7 && below(6) === 0 ? 3 : 0]!,
    };
  };
}

const pinsOf = (closed: number): number =>
  (1 << PIN.stop) |
  ((closed >> INPUT_OF.door) & 1 ? 1 << PIN.door : 0) |
  ((closed >> INPUT_OF.foot) & 1 ? 1 << PIN.foot : 0) |
  ((closed >> INPUT_OF.button) & 1 ? 1 << PIN.button : 0);

it(`${String(MINUTES)} minutes, seed ${String(SEED)}`, { timeout: 60_000 + MINUTES * 60_000 }, async () => {
  const exhibit = await exhibitOf('loop');
  const first = new Board(exhibit, blankNor(STORE));
  first.seconds(0.5);
  expect(first.sendNight(exhibit.night)).toBe(true);
  const { store } = first;
  const file = join(folder, 'flash');
  writeFileSync(
    file,
    Buffer.concat([Buffer.from(slotsWith(exhibit.image, SLOTS_BYTES / 2)), Buffer.from(store.bytes)]),
  );
  const [matter, random] = [chance(), xoroshiro128plus(SEED + 1)];
  const below = (n: number): number => (random.next() >>> 0) % n;
  const told = { ticks: 0, moving: 0, motions: 0, kills: 0, cuts: 0 };

  let [controller, board] = [await on(Infinity), start(Infinity)];
  async function on(failsAfter: number): Promise<Controller> {
    store.failsAfter = failsAfter;
    const fresh = instantiateController(WASM);
    expect(fresh.init({ image: exhibit.image, store })).toBe(0);
    return Promise.resolve(fresh);
  }
  function start(failsAfter: number): Lockstep {
    const fails = failsAfter === Infinity ? {} : { POSEWRIGHT_POWER_FAILS_AFTER: String(failsAfter) };
    return new Lockstep(firmwareOf('native').elf, { POSEWRIGHT_FLASH: file, ...fails });
  }
  /** Power has gone on both; now it comes, and may go again in the flash. */
  const again = async (): Promise<void> => {
    expect(Buffer.compare(readFileSync(file).subarray(SLOTS_BYTES), store.bytes)).toBe(0);
    const failsAfter = below(3) === 0 ? below(400) : Infinity;
    [controller, board] = [await on(failsAfter), start(failsAfter)];
  };
  let pulsed = false;
  /** So many ticks of both; false: power went on both, in the flash. */
  const run = async (n: number, { closed, stopOpen, supply_mv, bytes }: Matter): Promise<boolean> => {
    const requests = Array.from({ length: n }, (_, i) => (i === 0 ? bytes : new Uint8Array(0)));
    board.ask(requests, { stopOpen, supply_mv, closed: pinsOf(closed) });
    controller.receive(bytes);
    for (let i = 0; i < n; i++) {
      controller.setStop(stopOpen);
      controller.setSensed(stopOpen ? 0 : closed, []);
      controller.setMeasured({ supply_mv, tick_us: 0 });
      let failed = false;
      try {
        controller.tick();
      } catch (error) {
        if (!(error instanceof PowerFailed)) throw error;
        failed = true;
      }
      const sent: number[] = [];
      controller.drain((chunk) => sent.push(...chunk));
      if (failed) {
        await expect(board.tick()).rejects.toThrow(`ended with ${String(POWER_FAILED)}`);
        return false;
      }
      const tick = await board.tick();
      told.ticks++;
      const widths = new Uint16Array(16);
      exhibit.rig.joints.forEach(({ pin }, j) => (widths[pin - FIRST_PIN] = controller.pulses[j]!));
      const lines =
        ((controller.lines & LINE_OF.light) !== 0 ? 1 : 0) | ((controller.lines & LINE_OF.warn) !== 0 ? 2 : 0);
      if (
        Buffer.compare(Buffer.from(widths.buffer), Buffer.from(tick.pulses.buffer)) !== 0 ||
        tick.lines !== lines ||
        Buffer.compare(tick.bytes, Uint8Array.from(sent)) !== 0
      )
        expect({ at: told.ticks, widths: tick.pulses, lines: tick.lines, bytes: [...tick.bytes] }).toEqual({
          at: told.ticks,
          widths,
          lines,
          bytes: sent,
        });
      const pulses = widths.some((us) => us > 0);
      if (pulses) told.moving++;
      if (pulses && !pulsed) told.motions++;
      pulsed = pulses;
    }
    return true;
  };

  for (let batches = (MINUTES * 60 * 200) / BATCH; batches > 0; batches--) {
    const lives = await run(BATCH, matter());
    if (!lives) told.cuts++;
    else if (below(150) === 0) {
      if (!(await run(below(BATCH), matter()))) continue;
      told.kills++;
      await board.kill();
    } else continue;
    pulsed = false;
    await again();
  }
  await board.end();
  process.stdout.write(`${JSON.stringify(told)}\n`);
  expect(told.motions).toBeGreaterThan(MINUTES);
  expect(told.kills).toBeGreaterThan(MINUTES / 2);
  expect(told.cuts).toBeGreaterThan(0);
});
