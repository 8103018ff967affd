/**
 * An emulated pico beside the controller in Node, tick by tick with the same bytes at its line, levels at its pins and volts at its
 * converter: after every tick the same memory, lines at the pins and bytes sent, and in the dark the same flash. Its pulses are measured
 * at the pins. What only the board knows, the duration of its tick and what its converter makes of a voltage, the controller is told.
 */
import { readFileSync } from 'node:fs';
import type { Controller } from '../../host/controller/controller.ts';
import { INPUT, OUTPUT, PLACES_BYTES, RING } from '../../host/controller/layout.ts';
import type { Nor } from '../../host/controller/nor.ts';
import type { Firmware } from '../../host/firmware/compile.ts';
import { slotsWith } from '../../host/firmware/slot.ts';
import { elfSymbols } from '../../host/targets/elf.ts';
import { flashOf } from '../../host/targets/pico.ts';
import { FLASH_BYTES, PicoMachine } from '../../host/targets/rp2040/machine.ts';
import type { Exhibit } from './exhibit.ts';
import { inputPins, outputPins } from '../../host/rig/night/night.ts';

/** boards/pico/board_config.h: pages behind 128 KiB of program, two slots at the end. 10 kOhm above, 2.2 kOhm below. */
export const PICO_STORE = { pages: 7648, sectorPages: 16 } as const;
const [STORE_AT, SLOT_BYTES] = [128 * 1024, 4096];
const [SUPPLY_PIN, SUPPLY_SHARE] = [28, 2.2 / 12.2];
const RAM_AT = 0x20000000;
/** Stretch between two looks whether a tick has begun, and when it is over for sure, us. */
const [LOOK_US, DONE_US] = [50, 3000];
/** What the line brings before the next tick begins, with a good margin: 20 us a byte. */
const LINE_BYTES = 80;
/** Half a step of the converter, of 4.5 mV, and what two of the driver's divisions cut off. */
const SUPPLY_ERROR_MV = 8;
const INPUTS_BYTES = INPUT.places + PLACES_BYTES;
const NO_PIN = 255;
/** The converter: its first pin, its reference and its counts (RP2040 data sheet 4.9). */
const [ADC_V, ADC_COUNTS] = [3.3, 4096];

/** What is the matter during a tick. */
export interface Matter {
  readonly closed: number;
  readonly stopOpen: boolean;
  readonly supply_mv: number;
  /** At the night's analog pins, in their order. */
  readonly volts: readonly number[];
}

/** What the converter makes of a voltage, stretched from 12 bits to 16: 65535 is full scale. */
export function analogOf(volts: number): number {
  const counts = Math.max(0, Math.min(ADC_COUNTS - 1, Math.round((volts / ADC_V) * ADC_COUNTS)));
  return (counts << 4) | (counts >> 8);
}

/** What is looked at from outside. */
export interface Watch {
  /** A level at any pin changed, at the machine's time. */
  edge(pin: number, high: boolean, at_us: number): void;
}

export interface PinsSeen {
  pulses: number;
  /** The largest difference between a pulse and what was asked for, us. */
  apart_us: number;
  /** Ticks that began more than half a period late, while the power stayed. */
  late: number;
  ticks: number;
  /** Bytes of memory, and of flash in the dark, that were compared. */
  compared: number;
}

/** Where a controller keeps what, and how much it has. */
function layoutOf(wasm: Uint8Array<ArrayBuffer>) {
  const { exports } = new WebAssembly.Instance(new WebAssembly.Module(wasm));
  const offset = (name: string): number => Number((exports[name] as WebAssembly.Global).value);
  const bytes = (exports['arena_bytes'] as () => number)();
  return { inputs: offset('inputs'), outputs: offset('outputs'), tx: offset('tx'), bytes };
}

export class PicoBeside {
  readonly seen: PinsSeen = { pulses: 0, apart_us: 0, late: 0, ticks: 0, compared: 0 };
  readonly machine: PicoMachine;
  private readonly exhibit: Exhibit;
  private readonly store: Nor;
  private readonly at: ReturnType<typeof layoutOf>;
  private readonly arena: number;
  private readonly pins: {
    readonly stop: number | null;
    readonly inputs: readonly number[];
    readonly lines: readonly number[];
    readonly analog: readonly number[];
  };
  private readonly period_us: number;
  private readonly jointAt: ReadonlyMap<number, number>;
  private readonly levels = new Map<number, boolean>();
  private readonly rises = new Map<number, number>();
  private pulses: { readonly joint: number; readonly width_us: number }[] = [];
  private waiting: number[] = [];
  private ours: number[] = [];
  private its: number[] = [];
  private begun = 0;
  private began_us = 0;
  private isFirst = true;
  private on = false;
  /** Widths of the last ticks, the newest first. */
  private asked: Uint16Array[] = [];
  private supplies_mv: number[] = [];

  constructor(firmware: Firmware, exhibit: Exhibit, store: Nor, watch: Watch | null = null) {
    this.exhibit = exhibit;
    this.store = store;
    this.at = layoutOf(exhibit.wasm);
    const [night, pinsOf] = [exhibit.rig.night!, (named: readonly { pin: number }[]) => named.map(({ pin }) => pin)];
    this.pins = {
      stop: exhibit.rig.board?.stop?.pin ?? null,
      inputs: pinsOf(inputPins(night)),
      lines: pinsOf(outputPins(night)),
      analog: pinsOf(night.analog),
    };
    this.period_us = 1e6 / exhibit.rig.motion.tick_hz;
    this.arena = (elfSymbols(readFileSync(firmware.elf)).get('wasm_arena') ?? NaN) - RAM_AT;
    this.jointAt = new Map(exhibit.rig.joints.map(({ pin }, j) => [pin, j]));
    const flash = new Uint8Array(FLASH_BYTES).fill(0xff);
    flash.set(flashOf(readFileSync(firmware.image)));
    flash.set(slotsWith(exhibit.image, SLOT_BYTES), FLASH_BYTES - 2 * SLOT_BYTES);
    this.machine = new PicoMachine(flash, {
      byte: (value) => this.its.push(value),
      edge: (pin, high, at_us) => {
        this.edge(pin, high, at_us);
        watch?.edge(pin, high, at_us);
      },
      tick: () => {
        this.begins();
      },
    });
  }

  private edge(pin: number, high: boolean, at_us: number): void {
    this.levels.set(pin, high);
    const joint = this.jointAt.get(pin);
    if (joint === undefined || !this.on) return;
    const rise_us = this.rises.get(pin);
    if (high) this.rises.set(pin, at_us);
    else if (rise_us !== undefined) this.pulses.push({ joint, width_us: at_us - rise_us });
  }

  private begins(): void {
    this.begun++;
    const now_us = this.machine.now_us;
    if (!this.isFirst && now_us - this.began_us > 1.5 * this.period_us) this.seen.late++;
    this.isFirst = false;
    this.began_us = now_us;
  }

  /** Power comes; the flash holds what the controller's does. */
  switchOn(): void {
    const { machine } = this;
    machine.flash.set(this.store.bytes, STORE_AT);
    machine.reset('power');
    this.on = this.isFirst = true;
    this.begun = 0;
    this.rises.clear();
    [this.pulses, this.waiting, this.ours, this.its, this.asked, this.supplies_mv] = [[], [], [], [], [], []];
  }

  /** Bytes for both, as the line takes them. */
  hear(bytes: Uint8Array): void {
    this.waiting.push(...bytes);
  }

  /** One tick of the board; what of the bytes has arrived, and what it has measured. */
  tick(matter: Matter): { bytes: Uint8Array; supply_mv: number; tick_us: number } {
    const { machine } = this;
    this.set(matter);
    // Before its first tick it does not listen.
    const bytes = Uint8Array.from(this.isFirst ? [] : this.waiting.splice(0, LINE_BYTES));
    if (bytes.length > 0) machine.write(bytes, machine.now_us);
    machine.cutPowerInFlash(this.store.failsAfter);
    const named = !this.isFirst && this.isNamed;
    const [before, until_us] = [this.begun, machine.now_us + 20 * this.period_us];
    while (this.begun === before) {
      if (machine.now_us > until_us) this.fail('does not tick');
      machine.run(machine.now_us + LOOK_US);
    }
    machine.run(this.began_us + DONE_US);
    this.checkSensed(matter, named);
    return { bytes, ...this.measured };
  }

  /** What the controller was last told of analog pin k, 0 to 65535. */
  analog(k: number): number {
    return this.view(this.at.inputs, INPUTS_BYTES).getUint16(INPUT.analog_0 + 2 * k, true);
  }

  /** Of the tick that was the last. */
  private get measured(): { supply_mv: number; tick_us: number } {
    const inputs = this.view(this.at.inputs, INPUTS_BYTES);
    return { supply_mv: inputs.getUint16(INPUT.supply_mv, true), tick_us: inputs.getUint32(INPUT.tick_us, true) };
  }

  private set({ closed, stopOpen, supply_mv, volts }: Matter): void {
    const { machine, pins } = this;
    if (pins.stop !== null) machine.setInput(pins.stop, stopOpen);
    pins.inputs.forEach((pin, k) => {
      machine.setInput(pin, ((closed >> k) & 1) === 0);
    });
    pins.analog.forEach((pin, k) => {
      machine.setVoltage(pin, volts[k] ?? 0);
    });
    machine.setVoltage(SUPPLY_PIN, (supply_mv / 1000) * SUPPLY_SHARE);
  }

  /** Of the pins of the plan that the controller named before the tick, all that it was told is as it is at them. */
  private checkSensed({ closed, stopOpen, supply_mv, volts }: Matter, named: boolean): void {
    const inputs = this.view(this.at.inputs, INPUTS_BYTES);
    const want = [named ? closed : 0, stopOpen ? 1 : 0, ...this.pins.analog.map((_, k) => analogOf(volts[k] ?? 0))];
    const its = [INPUT.closed, INPUT.stop_open].map((at) => inputs.getUint8(at));
    its.push(...this.pins.analog.map((_, k) => inputs.getUint16(INPUT.analog_0 + 2 * k, true)));
    if (named && its.some((value, k) => value !== want[k]))
      this.fail(`reads ${its.join(', ')} at its inputs, not ${want.join(', ')}`);
    this.checkSupply(this.measured.supply_mv, supply_mv);
  }

  /** Whether the plan's pins are known. */
  private get isNamed(): boolean {
    const outputs = this.view(this.at.outputs, OUTPUT.places);
    return outputs.getUint8(OUTPUT.in_pins_low) !== NO_PIN;
  }

  /** Each look of the driver takes what the one before began, a tick ago. */
  private checkSupply(measured_mv: number, set_mv: number): void {
    this.supplies_mv = [set_mv, ...this.supplies_mv].slice(0, 3);
    if (this.supplies_mv.length < 3) return;
    if (!this.supplies_mv.some((mv) => Math.abs(mv - measured_mv) <= SUPPLY_ERROR_MV))
      this.fail(`measures ${String(measured_mv)} mV of ${String(set_mv)}`);
  }

  /**
   * The controller has made the same tick and sent so much: whether the board is as it is. Returns what has come over its line, which is what a
   * host hears: one that asks again before it does fills the line.
   */
  compare(controller: Controller, sent: readonly number[]): Uint8Array {
    const { machine, seen } = this;
    if (machine.dark) this.fail('lost its power in the flash, the controller did not');
    seen.ticks++;
    this.compareMemory(controller.snapshot());
    this.pins.lines.forEach((pin, k) => {
      const on = ((controller.lines >> k) & 1) !== 0;
      if ((this.levels.get(pin) ?? false) !== on) this.fail(`has pin ${String(pin)} ${on ? 'low' : 'high'}`);
    });
    this.asked = [controller.pulses.slice(), ...this.asked].slice(0, 3);
    for (const { joint, width_us } of this.pulses.splice(0)) this.judge(joint, width_us);
    const heard = Uint8Array.from(this.its);
    this.compareSent(sent);
    if (machine.faults.length > 0 || machine.lost > 0)
      this.fail(`did what a chip does not take: ${machine.faults.join(', ')}, ${String(machine.lost)} bytes lost`);
    return heard;
  }

  /** All of the controller's but what the board puts into its inputs, and how far it has read the ring of bytes to be sent. */
  private compareMemory(ours: Uint8Array): void {
    const tail = this.at.tx + RING.tail;
    const cuts = [
      [this.at.inputs, this.at.inputs + INPUTS_BYTES],
      [tail, tail + 4],
    ].sort((a, b) => a[0]! - b[0]!);
    let from = 0;
    for (const [start, end] of [...cuts, [this.at.bytes, this.at.bytes]]) {
      const its = this.machine.ram.subarray(this.arena + from, this.arena + start!);
      if (Buffer.compare(its, ours.subarray(from, start)) !== 0) {
        const at = its.findIndex((byte, i) => byte !== ours[from + i]) + from;
        this.fail(
          `has another byte at ${String(at)} of ${String(this.at.bytes)} (outputs at ${String(this.at.outputs)})`,
        );
      }
      this.seen.compared += its.length;
      from = end!;
    }
  }

  private judge(joint: number, width_us: number): void {
    const [low, high] = this.exhibit.rig.joints[joint]!.range_us;
    if (!(width_us >= low - 1 && width_us <= high + 1))
      this.fail(`has a pulse of ${String(width_us)} us at joint ${String(joint + 1)}`);
    const apart_us = Math.min(...this.asked.map((widths) => Math.abs(widths[joint]! - width_us)));
    if (!(apart_us <= 1)) this.fail(`has a pulse of ${String(width_us)} us that was not asked for`);
    this.seen.apart_us = Math.max(this.seen.apart_us, apart_us);
    this.seen.pulses++;
  }

  private compareSent(sent: readonly number[]): void {
    this.ours.push(...sent);
    const its = this.its.splice(0);
    const ours = this.ours.splice(0, its.length);
    if (its.some((byte, i) => byte !== ours[i])) this.fail('sends something else');
  }

  /** The power goes so long from now. What it has measured for the tick that it has begun by then, which it may have come far in; null: it has begun none. */
  runOn(for_us: number, matter: Matter): { supply_mv: number; tick_us: number } | null {
    const before = this.begun;
    this.set(matter);
    if (!this.machine.dark) this.machine.run(this.machine.now_us + for_us);
    return this.begun === before ? null : this.measured;
  }

  /** In the dark. */
  switchOff(): void {
    this.on = false;
  }

  hasSameFlash(): boolean {
    const { bytes } = this.store;
    this.seen.compared += bytes.length;
    return Buffer.compare(this.machine.flash.subarray(STORE_AT, STORE_AT + bytes.length), bytes) === 0;
  }

  private view(at: number, n: number): DataView {
    const { ram } = this.machine;
    return new DataView(ram.buffer, ram.byteOffset + this.arena + at, n);
  }

  fail(what: string): never {
    throw new Error(`the emulated pico ${what} (${(this.machine.now_us / 1e6).toFixed(3)} s of its time)`);
  }
}
