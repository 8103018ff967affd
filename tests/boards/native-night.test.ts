/** Nights in the flash of this machine's board: main.c and the controller as every board has them, sanitizers on. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Lockstep } from '../../host/build/bench/boards/lockstep.ts';
import { instantiateController } from '../../host/controller/controller.ts';
import { frameReader } from '../../host/controller/frames.ts';
import { RESULT, TYPE, parseAnswer, sender } from '../../host/controller/messages.ts';
import { parseNightEntry } from '../../host/controller/night-messages.ts';
import { blankNor } from '../../host/controller/nor.ts';
import { slotsWith } from '../../host/firmware/slot.ts';
import { WASM } from '../assembly/prop.ts';
import { IMAGE, PAGE, nightOf } from '../host/shows/nights.ts';
import { firmwareOf } from './firmware.ts';

const PAGES = 2048;
const SECTOR_PAGES = 16;
const SLOTS_BYTES = 2 * 4096;
const HALVES_BYTES = (PAGES - 2 * SECTOR_PAGES) * PAGE;
/** What the log writes first at a power-on: a page's worth, that the power came. */
const NOTED_BYTES = PAGE;
/** A start has read the halves after so many ticks; a frame is answered within so many: its sector erased, its page programmed. */
const START_TICKS = 40;
const TICKS = 12;
const POWER_FAILED = 75;
const OLD = nightOf({ names: ['old'], fill: 0x11 });
const NEW = nightOf({ names: ['new'], fill: 0x22, pins: [19] });
let folder = '';
let flash = '';

beforeAll(() => {
  firmwareOf('native');
  folder = mkdtempSync(join(tmpdir(), 'posewright-night-'));
  flash = join(folder, 'flash');
});
afterAll(() => {
  rmSync(folder, { recursive: true });
});

/** A night as its frames. */
function framesOf(night: Uint8Array): Uint8Array[] {
  const send = sender();
  const frames = [send.nightBegin(night.length / PAGE)];
  for (let at = 0; at < night.length; at += 128) frames.push(send.nightPart(at, night.subarray(at, at + 128)));
  return [...frames, send.command(TYPE.nightCommit)];
}

/** Flash with the rig in its first slot and blank pages. */
function blank(): void {
  const bytes = new Uint8Array(SLOTS_BYTES + PAGES * PAGE).fill(0xff);
  bytes.set(slotsWith(IMAGE, SLOTS_BYTES / 2));
  writeFileSync(flash, bytes);
}

/** Sends a night; its answers, and how the board ended: 0, or POWER_FAILED. */
async function sent(night: Uint8Array, environment: Record<string, string> = {}): Promise<[number[], number | null]> {
  const board = new Lockstep(firmwareOf('native').elf, { POSEWRIGHT_FLASH: flash, ...environment });
  const results: number[] = [];
  const read = frameReader({
    frame: (type, _, payload) => {
      if (type === TYPE.answer) results.push(parseAnswer(payload)!.result);
    },
    bad: () => undefined,
  });
  try {
    await board.run(START_TICKS);
    for (const frame of framesOf(night)) for (const { bytes } of await board.run(TICKS, frame)) read(bytes);
  } catch {
    return [results, await board.exit()];
  }
  return [results, await board.end()];
}

/** Name of the first show in force after a start. */
async function nameIn(): Promise<string | null> {
  const board = new Lockstep(firmwareOf('native').elf, { POSEWRIGHT_FLASH: flash });
  let name: string | null = null;
  const read = frameReader({
    frame: (type, _, payload) => {
      if (type === TYPE.nightEntry) name = parseNightEntry(payload)!.name;
    },
    bad: () => undefined,
  });
  for (const { bytes } of await board.run(START_TICKS, sender().nightList(0))) read(bytes);
  await board.end();
  return name;
}

it('a night is stored and in force after a start, to the bit as the simulator stores it', async () => {
  blank();
  const frames = framesOf(NEW);
  expect(await sent(NEW)).toEqual([frames.map(() => RESULT.done), 0]);
  expect(await nameIn()).toBe('new');
  const flashed = readFileSync(flash).subarray(SLOTS_BYTES);
  const store = blankNor({ pages: PAGES, sectorPages: SECTOR_PAGES });
  const controller = instantiateController(WASM);
  controller.init({ image: IMAGE, store });
  for (let n = 0; n < START_TICKS; n++) controller.tick();
  for (const frame of frames) {
    controller.receive(frame);
    for (let n = 0; n < TICKS; n++) controller.tick();
  }
  // Behind the halves the log has another power-on, and times that the simulator does not measure.
  expect(Buffer.compare(flashed.subarray(0, HALVES_BYTES), store.bytes.subarray(0, HALVES_BYTES))).toBe(0);
  expect(Buffer.compare(store.bytes.subarray(PAGE, NEW.length), NEW.subarray(PAGE))).toBe(0);
});

it('a night is old or new after the power went while it was sent, never half of one', { timeout: 60_000 }, async () => {
  blank();
  await sent(OLD);
  const before = readFileSync(flash);
  // The first sector's erasure, eight pages, and the head.
  const head = SECTOR_PAGES * PAGE + 8 * PAGE;
  const cuts = [0, 1, 2048, 4095, 4096, 5000, head - 1, head, head + 4, head + 28, head + 31, head + 32, head + 255];
  const names: (string | null)[] = [];
  for (const cut of cuts) {
    writeFileSync(flash, before);
    const [, code] = await sent(NEW, { POSEWRIGHT_POWER_FAILS_AFTER: String(NOTED_BYTES + cut) });
    expect(code, String(cut)).toBe(POWER_FAILED);
    names.push(await nameIn());
  }
  expect(names).toEqual(cuts.map((cut) => (cut < head + 32 ? 'old' : 'new')));
});

it('a flash that is worn out is told, and the old night stays', { timeout: 60_000 }, async () => {
  blank();
  await sent(OLD);
  const before = readFileSync(flash);
  for (const bytes of [4096, 4096 + 300, 4096 + 8 * PAGE + 2]) {
    writeFileSync(flash, before);
    const [results] = await sent(NEW, { POSEWRIGHT_FLASH_WEARS_OUT_AFTER: String(bytes) });
    expect(results).toContain(RESULT.notStored);
    expect(await nameIn()).toBe('old');
  }
});
