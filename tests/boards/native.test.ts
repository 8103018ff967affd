/** The firmware of every board on this machine, sanitizers on: the same bits as the controller, and nothing that breaks it. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { RESET, instantiateController } from '../../host/controller/controller.ts';
import { frameReader } from '../../host/controller/frames.ts';
import { packImage } from '../../host/controller/image.ts';
import {
  RESULT,
  TYPE,
  emptyTelemetry,
  parseAnswer,
  parseIAm,
  parseTelemetry,
  sender,
} from '../../host/controller/messages.ts';
import { WASM } from '../assembly/prop.ts';
import { type RigOptions, SHAPED, rigOf } from '../assembly/rigs.ts';
import { Lockstep } from '../../host/build/bench/boards/lockstep.ts';
import { firmwareOf } from './firmware.ts';

const SEED = 4;
const start = (environment: Readonly<Record<string, string>> = {}): Lockstep =>
  new Lockstep(firmwareOf('native').elf, environment);
const BOARD = { board: 3, pins: 16 };
let folder = '';
beforeAll(() => {
  firmwareOf('native');
  folder = mkdtempSync(join(tmpdir(), 'posewright-board-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true });
});

/** What the bytes say: the last answer, who it is, the last telemetry. */
function reader() {
  const heard = { answers: [] as number[], fingerprint: -1, stored: false, telemetry: emptyTelemetry() };
  const read = frameReader({
    frame: (type, _sequence, payload) => {
      if (type === TYPE.answer) heard.answers.push(parseAnswer(payload)!.result);
      else if (type === TYPE.iAm) {
        const { fingerprint, stored } = parseIAm(payload)!;
        Object.assign(heard, { fingerprint, stored });
      } else if (type === TYPE.telemetry) parseTelemetry(payload, heard.telemetry);
    },
    bad: () => undefined,
  });
  return { heard, read };
}

/** A rig that is live on the board: image sent, roused. */
async function live(board: Lockstep, options: RigOptions = {}) {
  const rig = rigOf(options);
  const send = sender();
  const { heard, read } = reader();
  const run = async (n: number, first?: Uint8Array) => {
    const ticks = await board.run(n, first);
    for (const { bytes } of ticks) read(bytes);
    return ticks;
  };
  for (const frame of send.image(packImage(rig))) await run(1, frame);
  await run(2, send.report(1));
  await run(1100, send.command(TYPE.rouse));
  // Live, or holding because no frame has come since.
  expect([2, 3]).toContain(heard.telemetry.state);
  return { rig, send, heard, run };
}

describe('bits', () => {
  it.each(SHAPED)('with %s pulses and every byte sent are those of the wasm, over rough ticks', async (_, options) => {
    const board = start();
    const controller = instantiateController(WASM);
    controller.init(BOARD);
    const rig = rigOf(options);
    const send = sender();
    const random = xoroshiro128plus(SEED);
    const script = [...send.image(packImage(rig)), send.report(1), send.command(TYPE.rouse)];
    const values = new Float64Array(8);
    const requests: Uint8Array[] = [];
    for (let n = 0; n < 4000; n++) {
      let bytes = script[n] ?? new Uint8Array(0);
      if (n > 1200 && n % 4 === 0) {
        values.forEach((_, k) => (values[k] = (uniformFloat32(random) - 0.5) * (k < 3 ? 30 : 0.8)));
        bytes = send.pose(n * 5000 + 20_000 * uniformFloat32(random), values, 6);
      } else if (n > 100 && n % 97 === 3) bytes = Uint8Array.from({ length: 30 }, () => 256 * uniformFloat32(random));
      requests.push(bytes);
    }
    board.ask(requests);
    let moved = 0;
    for (let n = 0; n < requests.length; n++) {
      controller.receive(requests[n]!);
      controller.tick();
      const sent: number[] = [];
      controller.drain((bytes) => sent.push(...bytes));
      const tick = await board.tick();
      const pins = new Uint16Array(16);
      rig.joints.forEach((joint, i) => (pins[joint.pin - 2] = controller.pulses[i]!));
      if (tick.pulses.some((us, i) => us !== pins[i]) || Buffer.compare(tick.bytes, Uint8Array.from(sent)) !== 0)
        expect.fail(`tick ${String(n)} differs`);
      if (pins[0] !== 0 && pins[0] !== 1500) moved++;
    }
    expect(moved, `state ${String(controller.state)} ${[...controller.pulses].join()}`).toBeGreaterThan(1000);
    await board.end();
  });
});

describe('faults', () => {
  it('survives random, mutated and truncated link bytes, never with a pulse out of range, and still answers', async () => {
    const board = start();
    const { rig, send, run, heard } = await live(board);
    const random = xoroshiro128plus(SEED);
    const chance = (): number => uniformFloat32(random);
    const values = new Float64Array(8);
    for (let round = 0; round < 60; round++) {
      const requests: Uint8Array[] = [];
      for (let n = 0; n < 100; n++) {
        values.forEach((_, k) => (values[k] = (chance() - 0.5) * (k < 3 ? 60 : 2)));
        let bytes =
          chance() < 0.4
            ? Uint8Array.from({ length: 200 * chance() }, () => 256 * chance())
            : chance() < 0.8
              ? send.pose(2 ** 32 * chance(), values, 6)
              : send.command(1 + 11 * chance());
        if (chance() < 0.5 && bytes.length > 0) {
          bytes = bytes.slice(0, chance() < 0.3 ? bytes.length * chance() : bytes.length);
          if (bytes.length > 0) bytes[Math.floor(chance() * bytes.length)]! ^= 1 << (8 * chance());
        }
        requests.push(bytes);
      }
      for (const request of requests)
        for (const { pulses } of await run(1, request))
          rig.joints.forEach((joint) => {
            const us = pulses[joint.pin - 2]!;
            if (us !== 0 && !(us >= joint.range_us[0] && us <= joint.range_us[1]))
              expect.fail(`${joint.name}: ${String(us)} us`);
          });
    }
    await run(4, Uint8Array.of(0));
    heard.fingerprint = -1;
    await run(4, send.command(TYPE.who));
    expect(heard.fingerprint).not.toBe(-1);
    await board.end();
  });

  it('a rig image is old or new after power is lost at any byte of its writing, never neither', async () => {
    const flash = join(folder, 'power');
    const [first, second] = [packImage(rigOf({ hz: 200 })), packImage(rigOf({ hz: 400 }))];
    const store = async (image: Uint8Array, environment: Record<string, string>): Promise<number | null> => {
      const board = start({ POSEWRIGHT_FLASH: flash, ...environment });
      const send = sender();
      try {
        // By then its log has noted that the power came.
        await board.run(40);
        for (const frame of send.image(image)) await board.run(1, frame);
        await board.run(3);
      } catch {
        return board.exit();
      }
      return board.end();
    };
    const holds = async (): Promise<number> => {
      const board = start({ POSEWRIGHT_FLASH: flash });
      const { heard, read } = reader();
      for (const { bytes } of await board.run(4, sender().command(TYPE.who))) read(bytes);
      await board.end();
      return heard.fingerprint;
    };
    const print = (image: Uint8Array): number => new DataView(image.buffer).getUint32(12, true);
    await store(first, {});
    expect(await holds()).toBe(print(first));
    const before = readFileSync(flash);
    let fresh = 0;
    /** What the log has written before: a page's worth. */
    const noted = 256;
    // The slot's erasure, its pieces of 256 bytes, and the head at the end: every byte around the edges, and a sample between.
    const whole = 4096 + 256 * Math.ceil(second.length / 256) + 256;
    const cuts = [
      0,
      1,
      2047,
      4095,
      4096,
      4097,
      4352,
      whole - 257,
      whole - 256,
      whole - 255,
      whole - 250,
      whole - 245,
      whole - 241,
      whole - 240,
      whole - 1,
    ];
    for (const cut of cuts) {
      writeFileSync(flash, before);
      expect(await store(second, { POSEWRIGHT_POWER_FAILS_AFTER: String(noted + cut) })).toBe(75);
      const now = await holds();
      expect([print(first), print(second)], `power lost at byte ${String(cut)}`).toContain(now);
      if (now === print(second)) fresh++;
    }
    // The last bytes of the last piece are blank: the image is whole before they are programmed.
    expect(fresh).toBeGreaterThan(0);
    expect(fresh).toBeLessThan(cuts.length);
    await store(second, {});
    expect(await holds()).toBe(print(second));
  });

  it('a flash that is worn out is told at the commit and by `who`; after the power it is the old rig again', async () => {
    const flash = join(folder, 'worn');
    const [first, second] = [packImage(rigOf({ hz: 200 })), packImage(rigOf({ hz: 400 }))];
    const print = (image: Uint8Array): number => new DataView(image.buffer).getUint32(12, true);
    /** Sends an image; the last answer, and who it then is. */
    const told = async (image: Uint8Array | null, environment: Record<string, string>) => {
      const board = start({ POSEWRIGHT_FLASH: flash, ...environment });
      const send = sender();
      const { heard, read } = reader();
      const frames = [...(image ? send.image(image) : []), new Uint8Array(0), send.command(TYPE.who)];
      for (const frame of frames) for (const { bytes } of await board.run(1, frame)) read(bytes);
      expect(await board.end()).toBe(0);
      const { answers, fingerprint, stored } = heard;
      return { answer: answers.at(-1), answers: answers.length, fingerprint, stored };
    };
    expect(await told(first, {})).toMatchObject({ answer: RESULT.done, fingerprint: print(first), stored: true });
    const chunks = [...sender().image(second)].length;
    const [erased, whole] = [4096, 4096 + 256 * Math.ceil(second.length / 256) + 256];
    // In the erasure of the other slot, in the image, in the head that makes it count.
    for (const bytes of [0, 100, erased + 1, whole - 256, whole - 250])
      expect(
        await told(second, { POSEWRIGHT_FLASH_WEARS_OUT_AFTER: String(bytes) }),
        `worn out after ${String(bytes)} bytes`,
      ).toEqual({ answer: RESULT.notStored, answers: chunks, fingerprint: print(second), stored: false });
    expect(await told(null, {})).toMatchObject({ fingerprint: print(first), stored: true });
    expect(await told(second, {})).toMatchObject({ answer: RESULT.done, fingerprint: print(second), stored: true });
  });

  it('keeps its widths after a watchdog reset in mid-motion, waits for settle, then is off', async () => {
    const kept = join(folder, 'kept');
    const flash = join(folder, 'kept-flash');
    const files = { POSEWRIGHT_FLASH: flash, POSEWRIGHT_KEPT: kept };
    const board = start(files);
    const { send, run, heard: moving } = await live(board);
    const now = 1115 * 5000;
    await run(1, send.pose(now, Float64Array.of(4, 3, 2, 0.05, 0, 0.05, 0.3, 0.6), 6));
    await run(30);
    expect(Math.max(...moving.telemetry.rise)).toBeGreaterThan(1e-4);
    const before = (await run(1)).at(-1)!.pulses;
    await board.end();
    const again = start({ ...files, POSEWRIGHT_RESET: String(RESET.watchdog) });
    const { heard, read } = reader();
    const ticks = await again.run(200, send.report(1));
    for (const { bytes } of ticks) read(bytes);
    expect(heard.telemetry).toMatchObject({ state: 5, trip: 6 });
    expect([...ticks.at(-1)!.pulses]).toEqual([...before]);
    const after = await again.run(1600, send.command(TYPE.settle));
    expect([...after.at(-1)!.pulses].every((us) => us === 0)).toBe(true);
    expect(after.at(-1)!.power).toBe(false);
    await again.end();
  });

  it('is limp after power was lost, whatever stands in the record', async () => {
    const kept = join(folder, 'kept');
    const board = start({
      POSEWRIGHT_FLASH: join(folder, 'kept-flash'),
      POSEWRIGHT_KEPT: kept,
      POSEWRIGHT_RESET: '0',
    });
    const ticks = await board.run(20);
    expect([...ticks.at(-1)!.pulses].every((us) => us === 0)).toBe(true);
    await board.end();
  });
});
