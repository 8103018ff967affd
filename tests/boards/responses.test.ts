/** A rig's responses on the boards: the bits of V8, what one of fuel costs, and what becomes of one that fails. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { Lockstep } from '../../host/build/bench/boards/lockstep.ts';
import { Twins } from '../../host/build/bench/boards/parity.ts';
import { demoRig } from '../../host/build/bench/boards/rerun.ts';
import { roughScript } from '../../host/build/bench/boards/scripts.ts';
import { BOARD_NAMES, type BoardName } from '../../host/build/bench/boards/stepped.ts';
import { instantiateController } from '../../host/controller/controller.ts';
import { frameReader } from '../../host/controller/frames.ts';
import { packImage } from '../../host/controller/image.ts';
import { STATES, TRIPS, TYPE, emptyTelemetry, parseTelemetry, sender } from '../../host/controller/messages.ts';
import { type Firmware, compileBoard } from '../../host/firmware/compile.ts';
import { CYCLES } from '../../host/firmware/responses/trial.ts';
import { FUEL } from '../../host/rig/response-limits.ts';
import type { Rig } from '../../host/rig/rig.ts';
import { flashOf } from '../../host/targets/pico.ts';
import { PicoMachine } from '../../host/targets/rp2040/machine.ts';
import { rigOf } from '../assembly/rigs.ts';
import { ownOf } from '../responses.ts';
import { has } from './firmware.ts';

const TOOLS: Readonly<Record<BoardName, readonly string[]>> = {
  native: ['gcc'],
  f405: ['arm-none-eabi-gcc', 'qemu-system-arm'],
  pico: ['arm-none-eabi-gcc'],
};
vi.setConfig({ testTimeout: 600_000 });
const SEED = 5;
/** What the program on this machine ends with where a board halts (board_halt of boards/native/board.c). */
const HALTED = 3;
let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'posewright-responses-'));
});
afterAll(() => {
  rmSync(folder, { recursive: true });
});

/** Firmware with responses of this text, and their wasm. */
async function firmware(board: string, text: string, rig: Rig): Promise<{ firmware: Firmware; wasm: string }> {
  const { wasm } = await ownOf(text, rig);
  const out = mkdtempSync(join(folder, 'firmware-'));
  return { firmware: compileBoard({ boards: 'boards', wasm, out }, board), wasm };
}

/** All of what there is, in motion. */
const RESTLESS = `
let x: f32 = 0.5; let n: i32 = 0; let began: f32 = 0;
function wave(period_s: f32): f32 { return sine(seconds() / period_s); }
export function respond(): void {
  n++;
  for (let i = 0; i < 4; i++) { x += noise() * 0.3; if (x > 1.0) x -= 1.0; }
  if (n % 64 == 0) began = seconds();
  add(Value.yaw, wave(1.7) * 9.0 + x);
  add(Value.z, sqrt(x) * 3.0 - min(since(began), 0.7) / 0.3);
  ask(Value.lid, asked(Value.lid) * 0.5 + f32(n & 31) * tick_s() * 40.0 + (closed(Pin.door) ? 1.0 : level(Level.left)));
}`;

describe.each(BOARD_NAMES)('%s', (name) => {
  it.skipIf(!has(...TOOLS[name]))('the bits of V8', async () => {
    const rig = demoRig();
    const made = await firmware(name, RESTLESS, rig);
    const twins = await Twins.start(name, made.firmware, rig, undefined, made.wasm);
    try {
      const parity = await twins.play(roughScript(rig, twins.watched, name === 'native' ? 4000 : 300, SEED));
      expect(parity, `seed ${String(SEED)}`).toMatchObject({ differing: 0, missing: 0, first: null });
      expect(parity.widths.size).toBeGreaterThan(200);
      expect(twins.controller.fuelBurnt).toBeGreaterThan(50);
    } finally {
      await twins.board.close();
    }
  });
});

describe.skipIf(!has(...TOOLS.native))('one that fails, on this machine as a board', () => {
  // Both failures in one program, which is long to compile; the rig's tick says which.
  const FAILS = `let zero: i32 = 0; let n: i32 = 0;
  export function respond(): void {
    n++; add(Value.nod, 6.0); add(Value.z, 2.0);
    if (n > 150) { if (tick_s() > 0.015) n = 5 / zero; else while (true); }
  }`;
  let made: Firmware;
  let wasm = '';
  beforeAll(async () => {
    ({ firmware: made, wasm } = await firmware('native', FAILS, rigOf({ hz: 50 })));
  }, 600_000);
  it.each([
    ['traps', 50],
    ['never ends', 100],
  ])('%s: the board halts, and comes back to settle, with the bits of V8', async (_, hz) => {
    const rig = rigOf({ hz, hold_s: 600 });
    const files = {
      POSEWRIGHT_FLASH: join(folder, `flash-${String(hz)}`),
      POSEWRIGHT_KEPT: join(folder, `kept-${String(hz)}`),
    };
    const controller = instantiateController(new Uint8Array(readFileSync(wasm)));
    controller.init({ board: 3, pins: 16 });
    const send = sender();
    const telemetry = emptyTelemetry();
    const read = frameReader({
      frame: (type, _sequence, payload) => {
        if (type === TYPE.telemetry) parseTelemetry(payload, telemetry);
      },
      bad: () => undefined,
    });
    /** Both, one tick with the same bytes: the same pulses and the same words. */
    const both = async (board: Lockstep, bytes: Uint8Array = new Uint8Array(0)): Promise<boolean> => {
      controller.receive(bytes);
      controller.tick();
      const ours: number[] = [];
      controller.drain((sent) => ours.push(...sent));
      const [its] = await board.run(1, bytes).catch(() => []);
      if (!its) return false;
      rig.joints.forEach((joint, i) => {
        expect(its.pulses[joint.pin - 2]).toBe(controller.pulses[i]);
      });
      expect([...its.bytes]).toEqual(ours);
      read(its.bytes);
      return true;
    };
    const first = new Lockstep(made.elf, files);
    for (const frame of send.image(packImage(rig))) await both(first, frame);
    await both(first, send.command(TYPE.rouse));
    let ticks = 0;
    while (ticks++ < 60 * hz && (await both(first)));
    expect(ticks).toBeGreaterThan(150);
    expect(ticks).toBeLessThan(60 * hz);
    // Its own words for a trap; the controller in V8 has been reset at the same tick.
    expect(await first.end()).toBe(HALTED);
    expect(TRIPS[controller.trip]).toBe('a response failed');

    const second = new Lockstep(made.elf, { ...files, POSEWRIGHT_RESET: '1' });
    await both(second, send.report(1));
    await both(second);
    expect([STATES[telemetry.state], TRIPS[telemetry.trip]]).toEqual(['tripped', 'a response failed']);
    expect(telemetry.pulse_us.some((us) => us > 0)).toBe(true);
    for (let n = 0; n < 12 * hz; n++) await both(second);
    expect(telemetry.pulse_us.every((us) => us === 0)).toBe(true);
    expect(telemetry.position[6]).toBeCloseTo(rig.joints[6]!.rest, 6);
    await both(second, send.command(TYPE.clear));
    await both(second);
    expect(STATES[telemetry.state]).toBe('limp');
    await second.end();
  });
});

/** What burns most of a tick's fuel, one after another, half a second each. */
const KINDS: readonly (readonly [string, string])[] = [
  ['nothing', ''],
  ['sums', 'for (let i = 0; i < 60; i++) { x += 1.1; x -= y; x += 0.3; x -= 0.7; }'],
  ['products', 'for (let i = 0; i < 60; i++) { x *= y; x *= 1.01; y *= x; y *= 0.99; }'],
  ['quotients', 'for (let i = 0; i < 30; i++) { x /= y; y = 3.3 / x; }'],
  ['roots', 'for (let i = 0; i < 40; i++) x = sqrt(y + x);'],
  ['remainders', 'for (let i = 0; i < 15; i++) { n = (i + 77777) % (n + 3); }'],
  ['comparisons', 'for (let i = 0; i < 60; i++) { if (x > y) n++; if (x < 0.5) n--; n += x == y ? 1 : 0; }'],
  ['whole numbers', 'for (let i = 0; i < 60; i++) { n = n * 7 + i; n ^= n >> 3; n /= 3; }'],
  ['conversions', 'for (let i = 0; i < 60; i++) { x = f32(n); n = i32(x); n++; }'],
  ['waves', 'for (let i = 0; i < 20; i++) x = sine(y + x);'],
  ['noise', 'for (let i = 0; i < 80; i++) x = noise();'],
  ['clocks', 'for (let i = 0; i < 30; i++) { x = since(x); y = tick_s(); x = seconds(); }'],
  ['levels', 'for (let i = 0; i < 50; i++) { x = level(Level.left); n += closed(Pin.hand) ? 1 : 0; }'],
  ['asking', 'for (let i = 0; i < 30; i++) { ask(Value.nod, asked(Value.nod) + 0.1); add(Value.lid, 0.001); }'],
  ['calls', 'for (let i = 0; i < 80; i++) small();'],
  ['turns', 'for (let i = 0; i < 200; i++) n = i;'],
];
const MODES = `let x: f32 = 0.7; let y: f32 = 1.3; let n: i32 = 1;
function small(): void { n = -n; }
export function respond(): void {
  switch (i32(seconds() * 2.0) % ${String(KINDS.length)}) {
    ${KINDS.map(([, text], i) => `case ${String(i)}: { x = 0.7; y = 1.3; n = 5; ${text} break; }`).join('\n')}
  }
}`;

it.skipIf(!has(...TOOLS.pico))(
  'one of fuel costs the pico so many cycles at most, and all of it fits into a tick',
  async () => {
    const HZ = 200;
    const TICK_US = 1e6 / HZ;
    const rig = rigOf({ hz: HZ, hold_s: 600, platform: null });
    const { firmware: made, wasm } = await firmware('pico', MODES, rig);
    let cycles = 0;
    const machine = new PicoMachine(flashOf(readFileSync(made.image)), {
      byte: () => undefined,
      tick: (count) => (cycles = count ?? cycles),
    });
    const controller = instantiateController(new Uint8Array(readFileSync(wasm)));
    controller.init({ board: 1, pins: 16 });
    const send = sender();
    let n = 0;
    const run = (bytes: Uint8Array = new Uint8Array(0)): void => {
      n++;
      machine.write(bytes, machine.now_us);
      machine.run(n * TICK_US + 0.9 * TICK_US);
      controller.receive(bytes);
      controller.tick();
    };
    for (let k = 0; k < 20; k++) run();
    for (const frame of send.image(packImage(rig))) {
      run(frame);
      run();
    }
    run(send.command(TYPE.rouse));
    while (n < 20 * HZ && STATES[controller.state] !== 'live') run();
    for (let k = 0; k < 2 * HZ; k++) run();
    /** By kind: cycles of its ticks, and the fuel that they burnt. */
    const seen = KINDS.map(() => ({ cycles: [] as number[], fuel: 0 }));
    for (let k = 0; k < (KINDS.length + 1) * (HZ / 2); k++) {
      run();
      const kind = Math.floor((n * TICK_US) / 5e5) % KINDS.length;
      // Away from where one follows another: the board's count of ticks and ours may differ by a few.
      const into = (n * TICK_US) % 5e5;
      if (into < 1e5 || into > 4e5) continue;
      seen[kind]!.cycles.push(cycles);
      seen[kind]!.fuel = controller.fuelBurnt;
    }
    const median = (list: readonly number[]): number => [...list].sort((a, b) => a - b)[list.length >> 1] ?? NaN;
    const base = median(seen[0]!.cycles);
    const costs = KINDS.map(([kind], i) => {
      const { cycles: all, fuel } = seen[i]!;
      return {
        kind,
        fuel,
        cycles: median(all) - base,
        each: Math.round((median(all) - base) / Math.max(fuel - seen[0]!.fuel, 1)),
      };
    });
    expect(machine.faults).toEqual([]);
    if (process.env['POSEWRIGHT_FIGURES'] !== undefined) process.stderr.write(`${JSON.stringify({ base, costs })}\n`);
    for (const { kind, each, fuel } of costs.slice(1)) {
      expect(each, kind).toBeGreaterThan(0);
      expect(each, kind).toBeLessThanOrEqual(CYCLES);
      expect(fuel, kind).toBeGreaterThan(200);
      expect(fuel, kind).toBeLessThanOrEqual(FUEL);
    }
  },
);
