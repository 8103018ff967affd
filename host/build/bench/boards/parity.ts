/**
 * A board beside the controller in V8, tick by tick with the same bytes: how many bits differ in pulses, joint angles (all of the
 * record that outlives a reset) and what is sent, the tick's own duration apart.
 */
import { readFileSync } from 'node:fs';
import { type Controller, instantiateController } from '../../../controller/controller.ts';
import { frameReader } from '../../../controller/frames.ts';
import { OUTPUT, PLACES_BYTES } from '../../../controller/layout.ts';
import { TYPE } from '../../../controller/messages.ts';
import { blankNor } from '../../../controller/nor.ts';
import type { Firmware } from '../../../firmware/compile.ts';
import type { Link } from '../../../rig/links.ts';
import type { Rig } from '../../../rig/rig.ts';
import type { Watched } from './scripts.ts';
import { type BoardName, FIRST_PIN, SERVO_PINS, type SteppedBoard, startStepped } from './stepped.ts';

const WASM = 'build/controller.wasm';
/** Telemetry: where it has the tick's duration, the one thing that is the board's own. */
const TICK_US_AT = 12;

export interface Parity {
  ticks: number;
  /** Of telemetry and answers. */
  frames: number;
  /** Bits that both sides have shown, and of them those that differ. */
  bits: number;
  differing: number;
  /** Frames that only one side has sent. */
  missing: number;
  /** Where the first difference was, in words. */
  first: string | null;
  /** Different widths seen, and ticks with pulses: how much was to be seen. */
  widths: Set<number>;
  pulsing: number;
}

/** Frames one after another, as bytes: type, sequence, payload. */
function frames() {
  const list: Uint8Array[] = [];
  const read = frameReader({
    frame(type, sequence, payload) {
      const bytes = new Uint8Array(2 + payload.byteLength);
      bytes.set([type, sequence]);
      bytes.set(new Uint8Array(payload.buffer, payload.byteOffset, payload.byteLength), 2);
      if (type === TYPE.telemetry) bytes.fill(0, 2 + TICK_US_AT, 4 + TICK_US_AT);
      list.push(bytes);
    },
    bad: () => list.push(Uint8Array.of(0xff)),
  });
  return { read, list };
}

function ones(byte: number): number {
  let n = 0;
  for (let b = byte; b !== 0; b &= b - 1) n++;
  return n;
}

export class Twins {
  readonly controller: Controller;
  readonly parity: Parity = { ticks: 0, frames: 0, bits: 0, differing: 0, missing: 0, first: null, widths: new Set(), pulsing: 0 };
  readonly board: SteppedBoard;
  private readonly rig: Rig;
  private readonly ours = frames();
  private readonly its: ReturnType<typeof frames>;
  private readonly at: { readonly pulses: number; readonly outputs: number };

  private constructor(board: SteppedBoard, rig: Rig, its: ReturnType<typeof frames>, wasm: string) {
    this.controller = instantiateController(new Uint8Array(readFileSync(wasm)));
    this.board = board;
    this.rig = rig;
    this.its = its;
    this.controller.init({ board: board.kind, pins: SERVO_PINS, stores: board.stores, store: blankNor(board.store) });
    const { exports } = new WebAssembly.Instance(new WebAssembly.Module(readFileSync(wasm)));
    const offset = (name: string): number => Number((exports[name] as WebAssembly.Global).value);
    this.at = { pulses: offset('pulses'), outputs: offset('outputs') };
  }

  /** Both from power-up. The rig is the one that the script will send; link: the pico's; wasm: the controller that both run. */
  static async start(name: BoardName, firmware: Firmware, rig: Rig, link?: Link, wasm = WASM): Promise<Twins> {
    const its = frames();
    const board = await startStepped(name, firmware, rig.motion.tick_hz, its.read, link);
    return new Twins(board, rig, its, wasm);
  }

  /** For a script. A board that does not show its memory reports every tick. */
  get watched(): Watched {
    const { controller, board } = this;
    return {
      get state() {
        return controller.state;
      },
      ahead: board.ahead ?? 0,
      ...(board.showsMemory ? {} : { reportTicks: 1 }),
    };
  }

  async tick(bytes: Uint8Array): Promise<void> {
    const arrived = await this.board.tick(bytes);
    for (const piece of arrived) this.controller.receive(piece);
    this.controller.tick();
    this.controller.drain(this.ours.read);
    this.parity.ticks++;
    await this.compareMemory();
    this.compareWidths();
    while (this.ours.list.length > 0 && this.its.list.length > 0)
      this.compare('a frame', this.ours.list.shift()!, this.its.list.shift()!, true);
  }

  /** Plays a script, an item a tick; then a while for what is still on the line. progress: ticks so far, now and then. */
  async play(script: Iterable<Uint8Array>, progress?: (ticks: number) => void): Promise<Parity> {
    for (const bytes of script) {
      await this.tick(bytes);
      if (this.parity.ticks % 1000 === 0) progress?.(this.parity.ticks);
    }
    for (let n = 0; n < 20 && this.ours.list.length > 0; n++) await this.tick(new Uint8Array(0));
    this.parity.missing += this.ours.list.length + this.its.list.length;
    return this.parity;
  }

  private compare(what: string, ours: Uint8Array, its: Uint8Array, isFrame = false): void {
    const n = Math.max(ours.length, its.length);
    let differing = 0;
    for (let i = 0; i < n; i++) differing += i < ours.length && i < its.length ? ones(ours[i]! ^ its[i]!) : 8;
    this.parity.bits += 8 * n;
    this.parity.differing += differing;
    if (isFrame) this.parity.frames++;
    if (differing > 0) this.parity.first ??= `${what}, tick ${String(this.parity.ticks)}`;
  }

  private async compareMemory(): Promise<void> {
    if (!this.board.showsMemory) return;
    const { pulses, outputs } = this.at;
    const [itsPulses, its] = await Promise.all([
      this.board.memory(pulses, 2 * SERVO_PINS),
      this.board.memory(outputs, OUTPUT.places + PLACES_BYTES),
    ]);
    const ours = this.controller.pulses;
    this.compare('pulses', new Uint8Array(ours.buffer, ours.byteOffset, ours.byteLength), itsPulses);
    this.compare('the state', Uint8Array.of(this.controller.state, this.controller.trip), its.subarray(OUTPUT.state, OUTPUT.state + 2));
    this.compare('lines', Uint8Array.of(this.controller.lines), its.subarray(OUTPUT.lines, OUTPUT.lines + 1));
    this.compare('joint angles', this.controller.places(), its.subarray(OUTPUT.places));
  }

  private compareWidths(): void {
    const wanted = new Uint16Array(SERVO_PINS);
    this.rig.joints.forEach((joint, i) => (wanted[joint.pin - FIRST_PIN] = this.controller.pulses[i]!));
    wanted.forEach((us) => this.parity.widths.add(us));
    if (wanted.some((us) => us > 0)) this.parity.pulsing++;
    const { widths } = this.board;
    if (widths) this.compare('widths at the pins', new Uint8Array(wanted.buffer), new Uint8Array(widths.buffer));
  }
}
