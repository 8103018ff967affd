/**
 * The one module that knows the controller's memory: instantiates controller.wasm and moves bytes, inputs and pulse widths
 * in and out, as a board does. It steps no clock of its own: a tick is a call.
 */
import { instantiateSync } from '@assemblyscript/loader';
import {
  INPUT,
  JOINTS,
  OUTPUT,
  OUT_OF_FUEL,
  PAGE,
  PAGE_BYTES,
  PLACES_BYTES,
  RING,
  RX_BYTES,
  STORE,
  TX_BYTES,
} from './layout.ts';
import type { Nor } from './nor.ts';

/** States in which flash may be written, and then only without power. */
const LIMP = 0;
const TRIPPED = 5;

/** Analog inputs of a rig's night. */
const ANALOG_PINS = 4;
/** Values of a pose. */
const POSE_VALUES = 6;

export const RESET = { power: 0, watchdog: 1, pin: 2 } as const;

interface Exports extends Record<string, unknown> {
  memory: WebAssembly.Memory;
  init(): number;
  tick(): void;
  arena_bytes(): number;
  rx: WebAssembly.Global;
  tx: WebAssembly.Global;
  pulses: WebAssembly.Global;
  inputs: WebAssembly.Global;
  outputs: WebAssembly.Global;
  image: WebAssembly.Global;
  page: WebAssembly.Global;
  responded: WebAssembly.Global;
}

/** What went wrong with the rig's responses in a tick. */
export interface ResponseTrouble {
  /** How often they asked for what is no number: that was dropped. */
  readonly dropped: number;
  /** How they ended the run: by more than their fuel, or by a trap (unreachable(), whole numbers divided by zero). Null: they did not. */
  readonly failed: 'fuel' | 'trap' | null;
}

/** What the board knows when it starts. */
export interface Boot {
  /** The stored rig image, if any. */
  readonly image?: Uint8Array;
  readonly resetReason?: number;
  /** The record that survived the reset (`places()` of the run before). */
  readonly places?: Uint8Array;
  readonly board?: number;
  readonly pins?: number;
  /** Whether its flash takes rig images; true without. */
  readonly stores?: boolean;
  /** Its flash for nights, which outlives the start; none without. */
  readonly store?: Nor;
  /** Whether a response trapped before the reset. */
  readonly keptMark?: boolean;
}

export interface Controller {
  /** Starts from nothing; returns why the image was refused, 0 when it is in force or there is none. */
  init(boot: Boot): number;
  /**
   * One tick; an image that it accepts is stored, or not, before the next, and what it asks of a page is done. Where a response of the rig
   * traps, what a board does is done: its watchdog resets it, and it starts with the rig in force, the places it was in and the mark of
   * what ended the run. Throws PowerFailed where the store's `failsAfter` says so.
   */
  tick(): void;
  /** Bytes that fit into the receive ring now. */
  room(): number;
  /** Appends received bytes; what does not fit is lost, as on a board. Returns how many were taken. */
  receive(bytes: Uint8Array): number;
  /** Appends all bytes sent since the last call to `sink`, and forgets them. */
  drain(sink: (bytes: Uint8Array) => void): void;
  /** Pulse widths in us in joint order, 0: none. A live view. */
  readonly pulses: Uint16Array;
  readonly power: boolean;
  readonly state: number;
  readonly trip: number;
  readonly imageCount: number;
  /** The rig image in force (the last one accepted). */
  storedImage(): Uint8Array;
  /** A copy of all its memory: a controller of the same wasm goes on from it, bit for bit. */
  snapshot(): Uint8Array;
  restore(memory: Uint8Array): void;
  /** A copy of the record that must survive a reset. */
  places(): Uint8Array;
  setStop(open: boolean): void;
  /** What the night's inputs are: closed ones, one bit each; analog ones, 0 to 65535. */
  setSensed(closed: number, analog: ArrayLike<number>): void;
  /** Output lines of the plan that are on, bit k for its line k. */
  readonly lines: number;
  /** Fuel that the rig's responses burnt in the last tick that had them. */
  readonly fuelBurnt: number;
  /** Of the last tick. A live view. */
  readonly trouble: ResponseTrouble;
  /**
   * What was asked on the last tick that moved, with what the rig's responses changed: pose (mm, rad), then every joint. Without responses
   * it is not known, and stays 0. A live view.
   */
  readonly responded: Float32Array;
  /** Duration of the last tick, supply in mV (0: not measured). */
  setMeasured(measured: { tick_us?: number; supply_mv?: number }): void;
}

/** Compiled modules by their bytes: a test starts thousands of boards. */
const modules = new WeakMap<Uint8Array, WebAssembly.Module>();

function moduleOf(wasm: Uint8Array<ArrayBuffer>): WebAssembly.Module {
  const module = modules.get(wasm) ?? new WebAssembly.Module(wasm);
  modules.set(wasm, module);
  return module;
}

/** wasm: the bytes of controller.wasm, which stay as they are. Throws when they are not that module. */
export function instantiateController(wasm: Uint8Array<ArrayBuffer>): Controller {
  const exports = instantiateSync<Exports>(moduleOf(wasm), {}).exports;
  const buffer = exports.memory.buffer;
  const at = (name: 'rx' | 'tx' | 'pulses' | 'inputs' | 'outputs' | 'image' | 'page'): number =>
    Number(exports[name].value);
  const inputs = at('inputs');
  const outputs = at('outputs');
  const image = at('image');
  const page = at('page');
  const bytes = new Uint8Array(buffer);
  const view = new DataView(buffer);
  const words = new Uint32Array(buffer);
  const imageCount = (outputs + OUTPUT.image_count) >> 2;
  let images = 0;
  let stores = true;
  let store: Nor | undefined;
  let droppedBefore = 0;
  const trouble: { -readonly [Key in keyof ResponseTrouble]: ResponseTrouble[Key] } = { dropped: 0, failed: null };

  /** As serve_page of main.c. */
  const servePage = (op: number): void => {
    const number = view.getUint16(outputs + OUTPUT.page, true);
    bytes[outputs + OUTPUT.page_op] = 0;
    bytes[inputs + INPUT.page_news] = PAGE.failed;
    if (store === undefined || number >= store.pages) return;
    if (op === PAGE.read) {
      bytes.set(store.read(number), page);
      bytes[inputs + INPUT.page_news] = PAGE.came;
      return;
    }
    const state = bytes[outputs + OUTPUT.state];
    if ((state !== LIMP && state !== TRIPPED) || bytes[outputs + OUTPUT.power] !== 0) return;
    const from = bytes.subarray(page + PAGE_BYTES, page + 2 * PAGE_BYTES);
    const done = op === PAGE.erase ? store.erase(number) : store.program(number, from);
    if (done) bytes[inputs + INPUT.page_news] = PAGE.done;
  };
  const blank = bytes.slice(0, exports.arena_bytes());
  let booted: Boot = {};
  const storedImage = (): Uint8Array => bytes.slice(image, image + view.getUint32(outputs + OUTPUT.image_bytes, true));
  const places = (): Uint8Array => bytes.slice(outputs + OUTPUT.places, outputs + OUTPUT.places + PLACES_BYTES);
  /** As power-up, but for what outlives a watchdog's reset. */
  const resetInResponse = (): void => {
    const boot = { ...booted, image: storedImage(), places: places(), resetReason: RESET.watchdog, keptMark: true };
    const widths = bytes.slice(at('pulses'), at('pulses') + 2 * JOINTS);
    bytes.set(blank);
    controller.init(boot);
    // The pins have what they had until the first tick.
    bytes.set(widths, at('pulses'));
  };

  const noteDropped = (): void => {
    const now = bytes[outputs + OUTPUT.dropped]!;
    trouble.dropped = (now - droppedBefore) & 0xff;
    droppedBefore = now;
  };

  const controller: Controller = {
    init(boot) {
      bytes.fill(0, inputs, inputs + INPUT.places + PLACES_BYTES);
      booted = boot;
      images = 0;
      droppedBefore = 0;
      stores = boot.stores ?? true;
      store = boot.store;
      view.setUint16(inputs + INPUT.store_pages, store?.pages ?? 0, true);
      view.setUint16(inputs + INPUT.sector_pages, store?.sectorPages ?? 0, true);
      view.setUint8(inputs + INPUT.kept_mark, boot.keptMark ? 1 : 0);
      view.setUint8(inputs + INPUT.reset_reason, boot.resetReason ?? RESET.power);
      view.setUint8(inputs + INPUT.board, boot.board ?? 0);
      view.setUint8(inputs + INPUT.pins, boot.pins ?? JOINTS);
      if (boot.places) {
        view.setUint8(inputs + INPUT.places_valid, 1);
        bytes.set(boot.places.subarray(0, PLACES_BYTES), inputs + INPUT.places);
      }
      if (boot.image) {
        bytes.set(boot.image, image);
        view.setUint32(inputs + INPUT.image_bytes, boot.image.length, true);
      }
      return exports.init();
    },
    tick() {
      try {
        exports.tick();
      } catch (error) {
        const responding = bytes[outputs + OUTPUT.responding];
        if (responding === 0) throw error;
        noteDropped();
        trouble.failed = responding === OUT_OF_FUEL ? 'fuel' : 'trap';
        resetInResponse();
        return;
      }
      noteDropped();
      trouble.failed = null;
      const count = words[imageCount] ?? 0;
      if (count !== images) {
        images = count;
        bytes[inputs + INPUT.store] = stores ? STORE.done : STORE.failed;
      }
      const op = bytes[outputs + OUTPUT.page_op]!;
      if (op !== 0) servePage(op);
    },
    ...ringsIn(buffer, at('rx'), at('tx')),
    pulses: new Uint16Array(buffer, at('pulses'), JOINTS),
    get power() {
      return bytes[outputs + OUTPUT.power] === 1;
    },
    get state() {
      return bytes[outputs + OUTPUT.state] ?? 0;
    },
    get trip() {
      return bytes[outputs + OUTPUT.trip] ?? 0;
    },
    get imageCount() {
      return view.getUint32(outputs + OUTPUT.image_count, true);
    },
    storedImage,
    snapshot: () => bytes.slice(),
    restore(memory) {
      bytes.set(memory);
      images = words[imageCount] ?? 0;
      droppedBefore = bytes[outputs + OUTPUT.dropped]!;
    },
    places,
    setStop(open) {
      view.setUint8(inputs + INPUT.stop_open, open ? 1 : 0);
    },
    setSensed(closed, analog) {
      view.setUint8(inputs + INPUT.closed, closed);
      for (let i = 0; i < ANALOG_PINS; i++) view.setUint16(inputs + INPUT.analog_0 + 2 * i, analog[i] ?? 0, true);
    },
    get lines() {
      return bytes[outputs + OUTPUT.lines] ?? 0;
    },
    get fuelBurnt() {
      return view.getUint16(outputs + OUTPUT.fuel_burnt, true);
    },
    trouble,
    get responded() {
      return new Float32Array(buffer, Number(exports.responded.value), POSE_VALUES + JOINTS);
    },
    setMeasured({ tick_us, supply_mv }) {
      if (tick_us !== undefined) view.setUint32(inputs + INPUT.tick_us, tick_us, true);
      if (supply_mv !== undefined) view.setUint16(inputs + INPUT.supply_mv, supply_mv, true);
    },
  };
  return controller;
}

/** The rings of bytes received and to be sent, at `rx` and `tx` in the memory. */
function ringsIn(buffer: ArrayBuffer, rx: number, tx: number): Pick<Controller, 'room' | 'receive' | 'drain'> {
  const bytes = new Uint8Array(buffer);
  const words = new Uint32Array(buffer);
  return {
    room() {
      return RX_BYTES - (((words[(rx + RING.head) >> 2] ?? 0) - (words[(rx + RING.tail) >> 2] ?? 0)) >>> 0);
    },
    receive(data) {
      const head = words[(rx + RING.head) >> 2] ?? 0;
      const tail = words[(rx + RING.tail) >> 2] ?? 0;
      const n = Math.min(data.length, RX_BYTES - ((head - tail) >>> 0));
      const from = head & (RX_BYTES - 1);
      const before = Math.min(n, RX_BYTES - from);
      const to = rx + RING.data;
      for (let i = 0; i < before; i++) bytes[to + from + i] = data[i]!;
      for (let i = before; i < n; i++) bytes[to + i - before] = data[i]!;
      words[(rx + RING.head) >> 2] = head + n;
      return n;
    },
    drain(sink) {
      const head = words[(tx + RING.head) >> 2] ?? 0;
      const tail = words[(tx + RING.tail) >> 2] ?? 0;
      if (head === tail) return;
      const from = tx + RING.data + (tail & (TX_BYTES - 1));
      const end = tx + RING.data + TX_BYTES;
      const n = (head - tail) >>> 0;
      if (from + n <= end) sink(bytes.subarray(from, from + n));
      else {
        sink(bytes.subarray(from, end));
        sink(bytes.subarray(tx + RING.data, tx + RING.data + n - (end - from)));
      }
      words[(tx + RING.tail) >> 2] = head;
    },
  };
}
