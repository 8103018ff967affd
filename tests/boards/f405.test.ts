/** The f405 board's firmware on an emulated STM32F405: the same bits as the controller, its timers, and its serial line. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { uniformFloat32 } from 'pure-rand/distribution/uniformFloat32';
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Controller, instantiateController } from '../../host/controller/controller.ts';
import { frameReader } from '../../host/controller/frames.ts';
import { packImage } from '../../host/controller/image.ts';
import { STATES, TYPE, parseIAm, sender } from '../../host/controller/messages.ts';
import type { Firmware } from '../../host/firmware/compile.ts';
import type { Rig } from '../../host/rig/rig.ts';
import { TargetError } from '../../host/replay/conversation.ts';
import type { Session } from '../../host/replay/target.ts';
import { f405Target } from '../../host/targets/f405.ts';
import { startQemu } from '../../host/targets/qemu.ts';
import { connectTo } from '../../host/targets/socket.ts';
import { WASM } from '../assembly/prop.ts';
import { SHAPED, rigOf } from '../assembly/rigs.ts';
import { firmwareOf } from './firmware.ts';

const TOOLS = ['arm-none-eabi-gcc', 'qemu-system-arm'].every((tool) => !spawnSync(tool, ['--version']).error);
const KIND = 2;
const PINS = 16;
const FIRST_PIN = 2;
const SEED = 9;
/** Where telemetry has the tick's duration: the one thing that is the board's own. */
const TICK_US_AT = 12;
const TICK_US = 5000;

let folder = '';
let firmware: Firmware;
const ended: (() => void | Promise<void>)[] = [];
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'posewright-f405-'));
  if (TOOLS) firmware = firmwareOf('f405');
});
afterAll(async () => {
  for (const end of ended.reverse()) await end();
  rmSync(folder, { recursive: true });
});

/** Frames as text, the tick's duration blanked; they are taken out by reading. */
function frames() {
  const lines: string[] = [];
  const read = frameReader({
    frame(type, sequence, payload) {
      const bytes = Uint8Array.from(new Uint8Array(payload.buffer, payload.byteOffset, payload.byteLength));
      if (type === TYPE.telemetry) bytes.fill(0, TICK_US_AT, TICK_US_AT + 2);
      lines.push(`${String(type)} ${String(sequence)} ${Buffer.from(bytes).toString('hex')}`);
    },
    bad: () => lines.push('bad frame'),
  });
  return { read, take: (): string[] => lines.splice(0) };
}

/** Board and wasm side by side, a tick at a time; what differs is counted. */
class Pair {
  readonly session: Session;
  readonly controller: Controller = instantiateController(WASM);
  readonly differs = { bytes: 0, widths: 0 };
  frames = 0;
  pulsing = 0;
  private readonly fromWasm = frames();
  private readonly fromBoard: ReturnType<typeof frames>;
  private readonly widths: Uint16Array;
  private ticks = 0;

  private readonly rig: Rig;

  private constructor(rig: Rig, session: Session, fromBoard: ReturnType<typeof frames>, widths: Uint16Array) {
    this.rig = rig;
    this.session = session;
    this.fromBoard = fromBoard;
    this.widths = widths;
    // QEMU has no flash controller for this chip: no rig image is stored, and both have to say so.
    this.controller.init({ board: KIND, pins: PINS, stores: false });
  }

  static async open(rig: Rig): Promise<Pair> {
    const widths = new Uint16Array(PINS);
    const fromBoard = frames();
    const target = f405Target({
      elf: firmware.elf,
      widths: (now) => {
        widths.set(now);
      },
    });
    const session = await target.open({ bytes: fromBoard.read });
    ended.push(() => session.close());
    return new Pair(rig, session, fromBoard, widths);
  }

  async tick(bytes: Uint8Array = new Uint8Array(0)): Promise<void> {
    const at_us = ++this.ticks * TICK_US;
    if (bytes.length > 0) this.session.write(bytes, at_us);
    await this.session.advance(at_us);
    this.controller.receive(bytes);
    this.controller.tick();
    this.controller.drain(this.fromWasm.read);
    const [ours, its] = [this.fromWasm.take(), this.fromBoard.take()];
    this.frames += ours.length;
    if (its.join('\n') !== ours.join('\n')) this.differs.bytes++;
    const wanted = new Uint16Array(PINS);
    this.rig.joints.forEach((joint, i) => (wanted[joint.pin - FIRST_PIN] = this.controller.pulses[i]!));
    if (wanted.join() !== this.widths.join()) this.differs.widths++;
    this.pulsing = this.widths.filter((us) => us > 0).length;
  }

  get state(): string {
    return STATES[this.controller.state]!;
  }
}

describe.skipIf(!TOOLS)('f405', () => {
  it('is small', () => {
    expect(firmware.flash_used).toBeLessThan(64 * 1024);
    expect(firmware.ram_used).toBeLessThan(124 * 1024);
  });

  it.each(SHAPED)('plays with %s tick by tick: bytes and timer registers are those of the wasm', async (_, options) => {
    const rig = rigOf(options);
    const pair = await Pair.open(rig);
    const send = sender();
    await pair.tick(send.command(TYPE.who));
    for (const frame of send.image(packImage(rig))) await pair.tick(frame);
    expect(pair.controller.imageCount).toBe(1);
    expect(pair.pulsing).toBe(0);
    await pair.tick(send.report(1));
    await pair.tick(send.command(TYPE.rouse));
    const random = xoroshiro128plus(SEED);
    const values = new Float64Array(rig.joints.length);
    const pose = (n: number): Uint8Array => {
      for (let k = 0; k < values.length; k++) values[k] = (uniformFloat32(random) - 0.5) * (k < 3 ? 20 : 0.6);
      return send.pose(n * TICK_US + 20_000, values, 6);
    };
    let n = 0;
    for (; pair.state !== 'live' && n < 1500; n++) await pair.tick(n % 8 === 0 ? pose(n) : undefined);
    expect(pair.state).toBe('live');
    expect(pair.pulsing).toBe(rig.joints.length);
    for (let k = 0; k < 300; k++) await pair.tick(k % 4 === 0 ? pose(n + k) : undefined);
    // Garbage is as good a test of sameness as any.
    const noise = Uint8Array.from({ length: 700 }, () => uniformFloat32(random) * 256);
    await pair.tick(noise.subarray(0, 300));
    for (let k = 0; k < 20; k++) await pair.tick();
    expect(pair.frames).toBeGreaterThan(n + 300);
    expect(pair.differs, `seed ${String(SEED)}`).toEqual({ bytes: 0, widths: 0 });
  });

  it('answers on its serial line in real time', async () => {
    const qemu = await startQemu(firmware.elf, { counted: false });
    ended.push(() => qemu.close());
    const line = await connectTo(qemu.socket, 10_000);
    ended.push(() => {
      line.destroy();
    });
    const answered = new Promise<ReturnType<typeof parseIAm>>((resolve) => {
      const read = frameReader({
        frame: (type, _sequence, payload) => {
          if (type === TYPE.iAm) resolve(parseIAm(payload));
        },
        bad: () => undefined,
      });
      line.on('data', read);
    });
    // A line drops what comes before the board listens.
    const send = sender();
    const asking = setInterval(() => line.write(send.command(TYPE.who)), 50);
    ended.push(() => {
      clearInterval(asking);
    });
    expect(await answered).toMatchObject({ board: KIND, pins: PINS, state: STATES.indexOf('limp'), tick_hz: 200 });
  });

  it('says what it cannot run', async () => {
    const other = f405Target({ elf: join(folder, 'none.elf') });
    await expect(other.open({ bytes: () => undefined })).rejects.toThrow(TargetError);
  });
});
