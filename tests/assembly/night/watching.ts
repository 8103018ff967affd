/**
 * A prop that watches itself: the controller with the record and the log hooked into its tick, over a flash and a warmth that the test
 * sets. Flash and warmth stand in for those of the board and of the player, so that power can be cut at every byte.
 */
import { frameReader } from '../../../host/controller/frames.ts';
import { packImage } from '../../../host/controller/image.ts';
import { INPUT, OUTPUT, PLACES_BYTES, RING, RX_BYTES, TX_BYTES } from '../../../host/controller/layout.ts';
import { STATES, type StateName, TYPE, sender } from '../../../host/controller/messages.ts';
import { positionAt } from '../../../host/rig/pulse.ts';
import type { Target } from '../../../host/replay/target.ts';
import type { Rig } from '../../../host/rig/rig.ts';
import {
  type LogEvent,
  type LogPart,
  type LogRecord,
  WHICH,
  parseEvents,
  parseLogPart,
  parseRecords,
} from '../../../host/shows/log-frames.ts';
import { compileBytes } from '../../asc.ts';
import { rigOf } from '../rigs.ts';

/** Pages of a sector, and of the whole store. */
const SECTOR = 4;
const STORE = 4 * SECTOR;
export const SECTOR_BYTES = SECTOR * 256;
export const LOG_BYTES = 2 * SECTOR_BYTES;

const PAGES = `
import { PAGE_IN, PAGE_OUT } from '../layout';
export const SECTOR_PAGES: u32 = ${String(SECTOR)};
export const STORE_PAGES: u32 = ${String(STORE)};
export const NOR: usize = memory.data(${String(LOG_BYTES)});
/** Bytes that are still changed before the power goes. */
export let left: i32 = 0x7fffffff;
/** Bytes changed so far; pages on which programming changes nothing. */
export let changed: i32 = 0;
export let worn: u32 = 0xffffffff;
export let erasures: i32 = 0;
export let early: i32 = 0;
export function setLeft(n: i32): void { left = n; }
export function setWorn(page: u32): void { worn = page; }
let asked: u32 = 0xffffffff;
function put(at: usize, byte: u8): void {
  if (left <= 0) return;
  left -= 1;
  changed += 1;
  store<u8>(at, byte);
}
function place(page: u32): usize { return NOR + usize((page - STORE_PAGES / 2) << 8); }
export function sectorPages(): u32 { return SECTOR_PAGES; }
export function halfPages(): u32 { return SECTOR_PAGES; }
export function logPage(): u32 { return 2 * SECTOR_PAGES; }
export const enum PageState { idle = 0, busy = 1, done = 2, failed = 3 }
export const enum Owner { none = 0, receiving = 1, log = 2 }
let claimed: bool = false;
/** Every third claim is refused, as if someone else wrote. */
let claims: u32 = 0;
export function claimPages(_: Owner): bool { claimed = ++claims % 3 != 0; return claimed; }
export function releasePages(_: Owner): void { claimed = false; }
export function startPages(): void {}
export function takePage(): void {}
export function askPage(): void {}
export function liesStill(): bool { return true; }
export function pagesClaimed(): bool { return false; }
export function pageState(): PageState { return PageState.done; }
export function pageAt(page: u32): usize {
  // The halves are blank: there is no night.
  if (page < STORE_PAGES / 2) {
    memory.fill(PAGE_IN, 0xff, 256);
    return PAGE_IN;
  }
  if (asked != page) { asked = page; return 0; }
  asked = 0xffffffff;
  memory.copy(PAGE_IN, place(page), 256);
  return PAGE_IN;
}
export function eraseSectorAt(page: u32): bool {
  if (!claimed) unreachable();
  asked = 0xffffffff;
  erasures += 1;
  for (let i: usize = 0; i < ${String(SECTOR_BYTES)}; i++) put(place(page) + i, 0xff);
  return true;
}
export function program(page: u32): bool {
  if (!claimed) unreachable();
  asked = 0xffffffff;
  if (page == worn) return true;
  for (let i: usize = 0; i < 256; i++) {
    const byte = load<u8>(PAGE_OUT + i);
    if (byte != 0xff) put(place(page) + i, load<u8>(place(page) + i) & byte);
  }
  return true;
}
`;

const PROBE = `
export { rx, tx, pulses, inputs, outputs, image, arena_bytes, init, tick } from './index';
export { NOR, changed, erasures, setLeft, setWorn } from './night/pages';
export { setWarmest } from './night/warmth';
export { allWritten, boots, lastStopDirty, note, setTime, wear } from './night/events';
export { tell } from './night/seen';
import { ENTRY, ENTRY_NAME_AT } from './night/plan';
export const name: usize = ENTRY + ENTRY_NAME_AT;
`;

const at = (place: WebAssembly.Global): number => Number(place.value);

const SOURCES = new Map([
  ['assembly/probe.ts', PROBE],
  ['assembly/night/pages.ts', PAGES],
  [
    'assembly/night/warmth.ts',
    `let warm: f32 = 0;
export function setWarmest(x: f32): void { warm = x; }
export function warmest(): f32 { return warm; }
export function startWarmth(): void {}
export function warmSecond(_: bool): void {}
export function bearable(_: u8): bool { return true; }
export function assumeWarm(_: f32): void {}`,
  ],
]);

const wasm = await compileBytes('assembly/probe.ts', SOURCES);

interface Probe {
  rx: WebAssembly.Global;
  tx: WebAssembly.Global;
  pulses: WebAssembly.Global;
  inputs: WebAssembly.Global;
  outputs: WebAssembly.Global;
  image: WebAssembly.Global;
  init(): number;
  tick(): void;
  memory: WebAssembly.Memory;
  NOR: WebAssembly.Global;
  name: WebAssembly.Global;
  changed: WebAssembly.Global;
  erasures: WebAssembly.Global;
  setLeft(n: number): void;
  setWorn(page: number): void;
  setWarmest(x: number): void;
  setTime(unix: number): void;
  allWritten(): number;
  boots(): number;
  wear(): number;
  lastStopDirty(): number;
  note(kind: number, detail: number, value: number): number;
  tell(night: number, show: number, second: number): void;
}

const module = new WebAssembly.Module(wasm);

/** A rig of n lone joints, each as the tests' nod, which may hold for half an hour. */
export function jointsOnly(n: number, hz = 200): Rig {
  const rig = rigOf({ platform: null, hold_s: 1800, hz, low_v: 4.5 });
  const nod = rig.joints[0]!;
  return { ...rig, joints: Array.from({ length: n }, (_, i) => ({ ...nod, name: `joint${String(i)}`, pin: 2 + i })) };
}

/** One power-on. */
export class Watching {
  readonly probe = new WebAssembly.Instance(module).exports as unknown as Probe;
  readonly send = sender();
  readonly rig: Rig;
  private readonly bytes = new Uint8Array(this.probe.memory.buffer);
  private readonly view = new DataView(this.probe.memory.buffer);
  private ticks = 0;
  private part: LogPart | null = null;
  private readonly hear = frameReader({
    frame: (type, _sequence, payload) => {
      if (type === TYPE.logPart) this.part = parseLogPart(payload);
    },
    bad: () => {
      throw new Error('a frame that cannot be right');
    },
  });

  /** @param flash as the power-on before left it; without, blank */
  constructor(rig: Rig, flash?: Uint8Array, boot: { resetReason?: number; places?: Uint8Array } = {}) {
    this.rig = rig;
    this.flash.set(flash ?? new Uint8Array(LOG_BYTES).fill(0xff));
    const image = packImage(rig);
    this.bytes.set(image, at(this.probe.image));
    const inputs = at(this.probe.inputs);
    this.view.setUint32(inputs + INPUT.image_bytes, image.length, true);
    this.bytes[inputs + INPUT.pins] = 16;
    this.bytes[inputs + INPUT.reset_reason] = boot.resetReason ?? 0;
    if (boot.places) {
      this.bytes[inputs + INPUT.places_valid] = 1;
      this.bytes.set(boot.places, inputs + INPUT.places);
    }
    if (this.probe.init() !== 0) throw new Error('image refused');
  }

  get flash(): Uint8Array {
    return this.bytes.subarray(at(this.probe.NOR), at(this.probe.NOR) + LOG_BYTES);
  }

  get state(): StateName {
    return STATES[this.bytes[at(this.probe.outputs) + OUTPUT.state]!]!;
  }

  places(): Uint8Array {
    const from = at(this.probe.outputs) + OUTPUT.places;
    return this.bytes.slice(from, from + PLACES_BYTES);
  }

  setMeasured(tick_us: number, supply_mv: number): void {
    this.view.setUint32(at(this.probe.inputs) + INPUT.tick_us, tick_us, true);
    this.view.setUint16(at(this.probe.inputs) + INPUT.supply_mv, supply_mv, true);
  }

  /** Hears all bytes on the line. */
  listen: (bytes: Uint8Array) => void = () => undefined;

  /** As a target that a conversation opens. */
  get target(): Target {
    return {
      name: 'test',
      proven: 'simulation',
      clock: '',
      open: (listener) => {
        this.listen = listener.bytes;
        const period_us = 1e6 / this.rig.motion.tick_hz;
        let now_us = 0;
        return {
          get now_us() {
            return now_us;
          },
          sharesClock: true,
          write: (bytes) => {
            this.receive(bytes);
          },
          advance: (to_us) => {
            for (; now_us < to_us; now_us += period_us) this.run(1);
          },
          close: () => undefined,
        };
      },
    };
  }

  /** Called after every tick. */
  watch: () => void = () => undefined;

  run(ticks: number): void {
    for (let i = 0; i < ticks; i++) {
      this.probe.tick();
      this.ticks++;
      this.drain();
      this.watch();
    }
  }

  receive(data: Uint8Array): void {
    const ring = at(this.probe.rx);
    const head = this.view.getUint32(ring + RING.head, true);
    data.forEach((byte, i) => (this.bytes[ring + RING.data + ((head + i) & (RX_BYTES - 1))] = byte));
    this.view.setUint32(ring + RING.head, head + data.length, true);
  }

  private drain(): void {
    const ring = at(this.probe.tx);
    const head = this.view.getUint32(ring + RING.head, true);
    const tail = this.view.getUint32(ring + RING.tail, true);
    const from = (i: number): number => this.bytes[ring + RING.data + ((tail + i) & (TX_BYTES - 1))]!;
    const bytes = Uint8Array.from({ length: head - tail }, (_, i) => from(i));
    this.hear(bytes);
    this.listen(bytes);
    this.view.setUint32(ring + RING.tail, head, true);
  }

  /** The controller's clock: exact where a tick is a whole number of microseconds. */
  private get now_us(): number {
    return (this.ticks * 1e6) / this.rig.motion.tick_hz;
  }

  /** A frame so long from now: pose (mm, rad), then the joints after the legs (rad). */
  pose(ahead_us: number, values: readonly number[]): void {
    const legs = this.rig.platform ? 6 : 0;
    this.receive(this.send.pose((this.now_us + ahead_us) >>> 0, Float64Array.from(values), legs));
  }

  seconds(s: number): void {
    this.run(Math.round(s * this.rig.motion.tick_hz));
  }

  until(state: StateName): void {
    for (let i = 0; i < 60 * this.rig.motion.tick_hz; i++) {
      if (this.state === state) return;
      this.run(1);
    }
    throw new Error(`never became ${state}: ${this.state}`);
  }

  command(type: number): void {
    this.receive(this.send.command(type));
    this.run(1);
  }

  rouse(): void {
    this.command(TYPE.rouse);
    this.until('live');
  }

  settle(): void {
    this.command(TYPE.settle);
    this.until('limp');
  }

  /** What the player says is on. */
  tell(night: number, show: number, second: number, name = ''): void {
    const to = this.bytes.subarray(at(this.probe.name), at(this.probe.name) + 32).fill(0);
    to.set(new TextEncoder().encode(name).subarray(0, 32));
    this.probe.tell(night, show, second);
  }

  /** One part, as the link gives it. */
  ask(which: number, n: number): LogPart {
    this.part = null;
    this.receive(this.send.readLog(which, n));
    for (let i = 0; i < 200 && !this.part; i++) this.run(1);
    if (!this.part) throw new Error('no part came');
    return this.part;
  }

  records(): LogRecord[] {
    const bytes = this.all(WHICH.record);
    return parseRecords(bytes, this.rig.joints.length, this.ask(WHICH.record, 0).uptime_s);
  }

  events(): readonly LogEvent[] {
    return parseEvents(this.all(WHICH.events)).events;
  }

  /** Where the pulse puts a joint, rad. */
  place(i: number): number {
    return positionAt(this.rig.joints[i]!, this.view.getUint16(at(this.probe.pulses) + 2 * i, true));
  }

  /** All bytes of a log. */
  all(which: number): Uint8Array {
    const bytes: number[] = [];
    for (let n = 0; ;) {
      const part = this.ask(which, n);
      if (part.bytes.length === 0) return Uint8Array.from(bytes);
      bytes.push(...part.bytes);
      n = part.n + part.bytes.length / (which === 1 ? 64 : this.recordBytes);
    }
  }

  get recordBytes(): number {
    return (8 + 7 * Math.ceil(this.rig.joints.length / 2) + 3) & ~3;
  }
}
