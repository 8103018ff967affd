/** The pico board's firmware on an emulated RP2040: the file that goes onto it, the controller's bits, its pulses at the pins. */
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import crc32mpeg2 from 'crc/calculators/crc32mpeg2';
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { decodeBlock } from 'uf2';
import { beforeAll, describe, expect, it } from 'vitest';
import { type Controller, instantiateController } from '../../host/controller/controller.ts';
import { frameReader } from '../../host/controller/frames.ts';
import { packImage } from '../../host/controller/image.ts';
import { TYPE, emptyTelemetry, parseIAm, parseTelemetry, sender } from '../../host/controller/messages.ts';
import type { Rig } from '../../host/rig/rig.ts';
import type { Firmware } from '../../host/firmware/compile.ts';
import { flashOf } from '../../host/targets/pico.ts';
import { PicoMachine } from '../../host/targets/rp2040/machine.ts';
import { WASM } from '../assembly/prop.ts';
import { type RigOptions, SHAPED, rigOf } from '../assembly/rigs.ts';
import { firmwareOf } from './firmware.ts';

const TOOLS = !spawnSync('arm-none-eabi-gcc', ['--version']).error;
const KIND = 1;
const PINS = 16;
const FIRST_PIN = 2;
const SEED = 11;
const BYTE_US = 20;
/** Where telemetry has the tick's duration: the one thing that is the board's own. */
const TICK_US_AT = 12;
/** A telemetry frame of eight joints takes the line 6 ms. */
const TICK_HZ = 100;
const TICK_US = 1e6 / TICK_HZ;
/** A tick's work is done by then. */
const DONE_US = 3500;

let firmware: Firmware;
beforeAll(() => {
  if (TOOLS) firmware = firmwareOf('pico');
});

/** Frames as text, the tick's duration blanked, and what the last ones said. */
function frames() {
  const lines: string[] = [];
  const heard = { telemetry: emptyTelemetry(), fingerprint: -1 };
  const read = frameReader({
    frame(type, sequence, payload) {
      const bytes = Uint8Array.from(new Uint8Array(payload.buffer, payload.byteOffset, payload.byteLength));
      if (type === TYPE.telemetry) {
        parseTelemetry(payload, heard.telemetry);
        bytes.fill(0, TICK_US_AT, TICK_US_AT + 2);
      } else if (type === TYPE.iAm) heard.fingerprint = parseIAm(payload)?.fingerprint ?? -1;
      lines.push(`${String(type)} ${String(sequence)} ${Buffer.from(bytes).toString('hex')}`);
    },
    bad: () => lines.push('bad frame'),
  });
  return { read, heard, take: (): string[] => lines.splice(0) };
}

interface Pulse {
  readonly pin: number;
  readonly rise_us: number;
  readonly width_us: number;
}

/** Board and wasm side by side, a tick at a time. */
class Pair {
  readonly controller: Controller = instantiateController(WASM);
  readonly board = frames();
  readonly pulses: Pulse[] = [];
  readonly cycles: number[] = [];
  readonly machine: PicoMachine;
  /** Widths by pin as the wasm had them, from each tick on. */
  readonly asked: { readonly at_us: number; readonly widths: Uint16Array }[] = [];
  readonly rig: Rig;
  private readonly wasm = frames();
  private readonly waiting: { readonly bytes: Uint8Array; readonly end_us: number }[] = [];
  private readonly rises = new Map<number, number>();
  private tick_us = -1;
  private began = false;

  constructor(options: RigOptions = {}) {
    this.rig = rigOf({ hz: TICK_HZ, ...options });
    this.controller.init({ board: KIND, pins: PINS });
    this.machine = new PicoMachine(flashOf(readFileSync(firmware.image)), {
      byte: (value) => {
        this.board.read(Uint8Array.of(value));
      },
      edge: (pin, high, at_us) => {
        if (high) this.rises.set(pin, at_us);
        const rise_us = this.rises.get(pin);
        if (!high && rise_us !== undefined && pin < FIRST_PIN + PINS)
          this.pulses.push({ pin, rise_us, width_us: at_us - rise_us });
      },
      tick: (cycles) => {
        this.tick_us = this.machine.now_us;
        this.began = true;
        if (cycles !== null) this.cycles.push(cycles);
      },
    });
  }

  write(bytes: Uint8Array): void {
    this.machine.write(bytes, this.machine.now_us);
    const free_us = Math.max(this.machine.now_us, this.waiting.at(-1)?.end_us ?? 0);
    this.waiting.push({ bytes, end_us: free_us + BYTE_US * bytes.length });
  }

  /** One tick of both; what they sent is compared. */
  tick(): void {
    this.began = false;
    for (let slice = 0; !this.began && slice < 4 * TICK_US; slice += 100) this.machine.run(this.machine.now_us + 100);
    if (!this.began) throw new Error('the board does not tick');
    while (this.waiting[0] && this.waiting[0].end_us <= this.tick_us)
      this.controller.receive(this.waiting.shift()!.bytes);
    this.controller.tick();
    this.controller.drain(this.wasm.read);
    const widths = new Uint16Array(PINS);
    this.rig.joints.forEach((joint, i) => (widths[joint.pin - FIRST_PIN] = this.controller.pulses[i] ?? 0));
    this.asked.push({ at_us: this.tick_us, widths });
    this.machine.run(this.tick_us + DONE_US);
  }

  /** Frames that both have sent since the last look, how many of them differ, and how many are still on the line. */
  compare(): { frames: number; differ: number; missing: number } {
    const [ours, theirs] = [this.wasm.take(), this.board.take()];
    const frames = Math.min(ours.length, theirs.length);
    const differ = theirs.filter((line, i) => line !== ours[i]).length;
    return { frames, differ, missing: ours.length - theirs.length };
  }
}

describe.skipIf(!TOOLS)('what goes onto the board', () => {
  it('is a UF2 file of the program', () => {
    // Microsoft, USB Flashing Format (UF2), README.md: blocks of 512 bytes, magic numbers at 0, 4 and 508, and its list of families.
    const file = readFileSync(firmware.image);
    const program = readFileSync(firmware.elf.replace(/elf$/, 'bin'));
    const view = new DataView(file.buffer, file.byteOffset);
    const blocks = file.length / 512;
    expect(blocks).toBe(Math.ceil(program.length / 256));
    for (let n = 0; n < blocks; n++) {
      const word = (at: number): number => view.getUint32(512 * n + at, true);
      expect([0, 4, 508].map(word)).toEqual([0x0a324655, 0x9e5d5157, 0x0ab16f30]);
      expect([8, 12, 16, 20, 24, 28].map(word)).toEqual([0x2000, 0x10000000 + 256 * n, 256, n, blocks, 0xe48bff56]);
      expect(decodeBlock(file.subarray(512 * n, 512 * n + 512)).payload).toHaveLength(256);
    }
    expect(Buffer.compare(flashOf(file).subarray(0, program.length), program)).toBe(0);
  });

  it('begins with a second stage that the boot ROM takes', () => {
    // RP2040 data sheet 2.8.1.3.1; the check value of CRC-32/MPEG-2 is that of G. Cook's catalogue (memory).
    expect(crc32mpeg2(new TextEncoder().encode('123456789')) >>> 0).toBe(0x0376e6e7);
    const stage = Uint8Array.from(readFileSync(firmware.elf.replace(/elf$/, 'bin')).subarray(0, 256));
    const sum = new DataView(stage.buffer).getUint32(252, true);
    expect(sum.toString(16)).toBe((crc32mpeg2(stage.subarray(0, 252)) >>> 0).toString(16));
  });

  it('has room', () => {
    expect(firmware.flash_used).toBeLessThanOrEqual(128 * 1024);
    expect(firmware.ram_used).toBeLessThanOrEqual(192 * 1024);
  });
});

describe.skipIf(!TOOLS)('the board', () => {
  let pair: Pair;

  // The last one is looked at further below.
  it.each([...SHAPED].reverse())('with %s gives the bits of the wasm from its start, on every tick', (_, options) => {
    pair = new Pair(options);
    const send = sender();
    // Before its first tick the board does not listen.
    pair.tick();
    for (const frame of [send.command(TYPE.who), ...send.image(packImage(pair.rig))]) {
      pair.write(frame);
      for (let n = 0; n < 2; n++) pair.tick();
    }
    pair.write(send.report(1));
    pair.tick();
    pair.write(send.command(TYPE.rouse));
    for (let n = 0; n < 1100 && pair.controller.state < 2; n++) pair.tick();
    expect(pair.controller.state).toBeGreaterThanOrEqual(2);
    const random = xoroshiro128plus(SEED);
    const values = new Float64Array(8);
    pair.cycles.length = 0;
    for (let n = 0; n < 300; n++) {
      if (n % 4 === 0) {
        const scale = n < 150 ? 1 : 4;
        values.forEach((_, k) => (values[k] = (uniformFloat32(random) - 0.5) * scale * (k < 3 ? 8 : 0.2)));
        pair.write(send.pose(pair.board.heard.telemetry.now_us + 20_000 * uniformFloat32(random), values, 6));
      }
      pair.tick();
    }
    pair.machine.run(pair.machine.now_us + TICK_US - DONE_US - 100);
    const { frames: n, differ, missing } = pair.compare();
    expect({ differ, missing }).toEqual({ differ: 0, missing: 0 });
    expect(n).toBeGreaterThan(600);
    expect(pair.machine).toMatchObject({ faults: [], lost: 0, bites: 0 });
  });

  it('shows every width at its pin within 1 us, and frames 20,000 us apart', () => {
    const moving = new Set<number>();
    const before = new Map<number, number>();
    for (const { pin, rise_us, width_us } of pair.pulses) {
      const at = pair.asked.findLastIndex(({ at_us }) => at_us <= rise_us);
      // The count wraps where it wraps: before or after this tick, or the one that is under way, has set the width.
      const asked = [at - 1, at].map((i) => pair.asked[i]?.widths[pin - FIRST_PIN] ?? 0);
      if (!asked.some((us) => Math.abs(us - width_us) <= 1))
        expect.fail(`pin ${String(pin)}: ${String(width_us)} us, asked ${asked.join(' or ')}`);
      const last = before.get(pin);
      if (last !== undefined) expect(Math.abs(rise_us - last - 20_000)).toBeLessThanOrEqual(1);
      before.set(pin, rise_us);
      moving.add(width_us);
    }
    expect(before.size).toBe(pair.rig.joints.length);
    expect(moving.size).toBeGreaterThan(200);
  });

  it('keeps its widths over a reset by the watchdog', () => {
    const { machine } = pair;
    const widths = (from_us: number): string =>
      pair.rig.joints
        .map(({ pin }) =>
          pair.pulses.findLast((pulse) => pulse.pin === pin && pulse.rise_us > from_us)?.width_us.toFixed(0),
        )
        .join();
    machine.run(machine.now_us + 1_500_000);
    const before = widths(machine.now_us - 45_000);
    const from_us = machine.now_us;
    machine.hang();
    machine.run(from_us + 480_000);
    expect(machine.bites).toBe(0);
    machine.run(from_us + 700_000);
    expect(machine.bites).toBe(1);
    expect(widths(machine.now_us - 45_000)).toBe(before);
    machine.write(sender().report(1), machine.now_us);
    machine.run(machine.now_us + 50_000);
    // Tripped, by the watchdog.
    expect(pair.board.heard.telemetry).toMatchObject({ state: 5, trip: 6 });
    expect(machine.faults).toEqual([]);
  });

  it('keeps its rig when the power goes, and is limp afterwards', () => {
    const { machine, board } = pair;
    const print = new DataView(packImage(pair.rig).buffer).getUint32(12, true);
    for (const reason of ['power', 'pin'] as const) {
      machine.reset(reason);
      pair.pulses.length = 0;
      board.heard.fingerprint = -1;
      // The reset may have cut a frame short: the next one ends it.
      for (const at_ms of [10, 30]) machine.write(sender().command(TYPE.who), machine.now_us + 1000 * at_ms);
      machine.run(machine.now_us + 100_000);
      expect(board.heard.fingerprint).toBe(print);
      expect(pair.pulses).toEqual([]);
    }
    expect(machine.faults).toEqual([]);
  });
});
