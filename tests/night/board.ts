/**
 * A prop in its exhibit: the controller of every board over flash that outlives it, with its switches, its supply and its link. On every
 * tick it is watched whether what must never be is: a pulse out of its servo's range, motion that was not warned of, motion after
 * someone should have looked.
 */
import { type Controller, RESET, instantiateController } from '../../host/controller/controller.ts';
import { frameReader } from '../../host/controller/frames.ts';
import {
  RESULT,
  TYPE,
  type Telemetry,
  emptyTelemetry,
  parseAnswer,
  parseTelemetry,
  sender,
} from '../../host/controller/messages.ts';
import { type Nor, PowerFailed, blankNor } from '../../host/controller/nor.ts';
import {
  EVENT_BYTES,
  type LogEvent,
  type LogPart,
  type LogRecord,
  WHICH,
  joined,
  nextAfter,
  parseEvents,
  parseLogPart,
  parseRecords,
  recordBytes,
} from '../../host/shows/log-frames.ts';
import { type Exhibit, LINE_OF } from './exhibit.ts';
import { type PicoBeside, analogOf } from './pico-beside.ts';

/** As native has it. */
export const STORE = { pages: 2048, sectorPages: 16 } as const;
const FULL_MV = 6000;
/** Its number in "I am". */
const PICO = 1;
const NOTHING = new Uint8Array(0);
const PAGE = 256;
const PART = 128;

export interface Watched {
  ticks: number;
  /** Ticks with pulses. */
  moving: number;
  motions: number;
  /** The shortest warning before a motion, ticks. */
  shortest: number;
}

export class Board {
  readonly store: Nor;
  readonly exhibit: Exhibit;
  readonly watched: Watched = { ticks: 0, moving: 0, motions: 0, shortest: Infinity };
  controller!: Controller;
  closed = 0;
  stopOpen = false;
  supply_mv = FULL_MV;
  /** At the night's analog pins. */
  volts: number[] = [];
  /** Somebody must look before it may move: why. */
  mustLook = '';
  power = false;
  /** Power-ups so far. */
  boots = 0;
  /** Ticks since power. */
  age = 0;
  /** Records of this power-on since the last `takeRecords`. */
  private records: LogRecord[] = [];
  private nextRecord = 0;
  private send = sender();
  private part: LogPart | null = null;
  private result = -1;
  /** Called after every tick whose telemetry came. */
  watch: (t: Telemetry) => void = () => undefined;
  private readonly telemetry = emptyTelemetry();
  private warned = 0;
  private pulsed = false;
  private readonly ranges: readonly (readonly [number, number])[];
  private readonly warning: number;
  private readonly read = frameReader({
    frame: (type, _, payload) => {
      if (type === TYPE.logPart) this.part = parseLogPart(payload);
      else if (type === TYPE.telemetry && parseTelemetry(payload, this.telemetry)) this.watch(this.telemetry);
      else if (type === TYPE.answer) this.result = parseAnswer(payload)!.result;
    },
    bad: () => undefined,
  });

  /** An emulated board that does the same. */
  private readonly beside: PicoBeside | null;

  constructor(exhibit: Exhibit, store = blankNor(STORE), beside: PicoBeside | null = null) {
    this.exhibit = exhibit;
    this.store = store;
    this.beside = beside;
    this.ranges = exhibit.rig.joints.map(({ range_us }) => range_us);
    this.warning = exhibit.rig.night!.warn_s * this.hz;
    this.switchOn();
  }

  get hz(): number {
    return this.exhibit.rig.motion.tick_hz;
  }
  get isPulsing(): boolean {
    return this.pulsed;
  }
  get isWarning(): boolean {
    return this.power && (this.controller.lines & LINE_OF.warn) !== 0;
  }

  /** Power comes: nothing is left of the time before but the flash. */
  switchOn(): void {
    const { image, wasm } = this.exhibit;
    this.controller = instantiateController(wasm);
    const board = this.beside ? PICO : 0;
    const refused = this.controller.init({ image, store: this.store, resetReason: RESET.power, board });
    if (refused !== 0) throw new Error(`the rig was refused: ${String(refused)}`);
    this.power = true;
    this.boots++;
    this.age = this.warned = 0;
    this.records = [];
    this.nextRecord = 0;
    this.pulsed = false;
    this.beside?.switchOn();
  }

  /** Power goes, on an emulated board so long after the tick. A servo without pulses falls, or not: someone must look. */
  switchOff(after_us = 0): void {
    if (this.pulsed) this.mustLook = 'power went while it moved';
    if (this.beside) this.darken(this.beside, after_us);
    this.power = this.pulsed = false;
    this.part = null;
  }

  /** Both boards have the same flash, whether the tick in which the power went had come to it or not. */
  private darken(beside: PicoBeside, after_us: number): void {
    const underWay = beside.runOn(after_us, this);
    if (underWay && !beside.hasSameFlash()) this.step(underWay);
    if (!beside.hasSameFlash()) this.fail('the emulated board has another flash');
    beside.switchOff();
  }

  /** Bytes at its line. */
  hear(bytes: Uint8Array): void {
    if (this.beside) this.beside.hear(bytes);
    else this.controller.receive(bytes);
  }

  fail(what: string): never {
    throw new Error(
      `${this.exhibit.variant}, power-on ${String(this.boots)}, ${(this.age / this.hz).toFixed(2)} s: ${what}`,
    );
  }

  /** One tick, watched. Without power nothing happens. */
  tick(): void {
    if (!this.power) return;
    const { controller, watched } = this;
    const its = this.beside?.tick(this) ?? { bytes: NOTHING, supply_mv: this.supply_mv, tick_us: 100 };
    controller.receive(its.bytes);
    if (!this.step(its)) {
      if (controller.power || controller.pulses.some((us) => us !== 0))
        this.fail('flash was written while pulses were on');
      this.pulsed = false;
      this.switchOff();
      return;
    }
    if (this.beside) {
      const sent: number[] = [];
      controller.drain((bytes) => sent.push(...bytes));
      this.read(this.beside.compare(controller, sent));
    } else controller.drain(this.read);
    this.age++;
    watched.ticks++;
    const pulses = this.pulsesInRange();
    if (pulses && !this.pulsed) this.beginsToMove();
    if (pulses) watched.moving++;
    else this.warned = this.isWarning ? this.warned + 1 : 0;
    if (controller.trip !== 0) this.mustLook ||= `trip ${String(controller.trip)}`;
    if (this.stopOpen && pulses) this.mustLook ||= 'stopped while it moved';
    this.pulsed = pulses;
  }

  /** The controller's tick; false: power went, in the flash. */
  private step(measured: { supply_mv: number; tick_us: number }): boolean {
    const { controller } = this;
    controller.setStop(this.stopOpen);
    controller.setSensed(this.closed, this.volts.map(analogOf));
    controller.setMeasured(measured);
    try {
      controller.tick();
      return true;
    } catch (error) {
      if (error instanceof PowerFailed) return false;
      throw error;
    }
  }

  private pulsesInRange(): boolean {
    const { pulses } = this.controller;
    let any = false;
    for (let i = 0; i < pulses.length; i++) {
      const us = pulses[i]!;
      if (us === 0) continue;
      any = true;
      const range = this.ranges[i];
      if (!(range && us >= range[0] && us <= range[1]))
        this.fail(`a pulse of ${String(us)} us for joint ${String(i + 1)}`);
    }
    return any;
  }

  private beginsToMove(): void {
    this.watched.motions++;
    this.watched.shortest = Math.min(this.watched.shortest, this.warned);
    if (!(this.warned >= this.warning)) this.fail(`it moved after ${String(this.warned)} ticks of warning`);
    if (this.mustLook !== '') this.fail(`it moved although ${this.mustLook}`);
  }

  run(ticks: number): void {
    for (let n = 0; n < ticks; n++) this.tick();
  }
  seconds(s: number): void {
    this.run(Math.round(s * this.hz));
  }
  set(input: number, closed: boolean): void {
    this.closed = closed ? this.closed | (1 << input) : this.closed & ~(1 << input);
  }

  /** Noise may stand before it: a zero ends that. */
  private write(bytes: Uint8Array): void {
    this.hear(Uint8Array.of(0));
    this.hear(bytes);
  }

  /** Sends a frame and runs until it is answered; null: power went, or it never was. */
  ask(bytes: Uint8Array, most_s = 5): number | null {
    this.result = -1;
    this.write(bytes);
    for (let n = 0; n < most_s * this.hz && this.result < 0; n++) {
      this.tick();
      if (!this.power) return null;
    }
    return this.result < 0 ? null : this.result;
  }

  /** A night over the link, as `shows send` does it. Whether it is in force. */
  sendNight(night: Uint8Array): boolean {
    const { send } = this;
    const frames = [send.nightBegin(night.length / PAGE)];
    for (let at = 0; at < night.length; at += PART) frames.push(send.nightPart(at, night.subarray(at, at + PART)));
    frames.push(send.command(TYPE.nightCommit));
    return frames.every((frame) => this.ask(frame) === RESULT.done);
  }

  /** Telemetry on every tick, into `watch`. */
  tellAll(watch: (t: Telemetry) => void): void {
    this.watch = watch;
    this.ask(this.send.report(1));
  }
  /** Show k over the link; a result. */
  runShow(k: number): number | null {
    return this.ask(this.send.showRun(k));
  }
  /** The settle message. */
  settle(): void {
    this.ask(this.send.command(TYPE.settle));
  }

  private askPart(which: number, n: number): LogPart | null {
    this.part = null;
    this.write(this.send.readLog(which, n));
    for (let k = 0; k < 2 * this.hz && this.part === null; k++) {
      this.tick();
      if (!this.power) return null;
    }
    return this.part;
  }

  /** Reads what the running record has of new; false: power went, or the board is silent. */
  readRecord(): boolean {
    const joints = this.exhibit.rig.joints.length;
    for (;;) {
      const part = this.askPart(WHICH.record, this.nextRecord);
      if (!part) return false;
      const records = parseRecords(part.bytes, joints, part.uptime_s);
      if (records.length === 0) return true;
      if (part.n !== this.nextRecord) this.fail('records were lost');
      this.nextRecord += part.bytes.length / recordBytes(joints);
      this.records.push(...records);
    }
  }

  takeRecords(): LogRecord[] {
    return this.records.splice(0);
  }

  /** Reads all events there are: how many places cannot be read, and the part that said so last; null: power went. */
  readEvents(): { readonly torn: number; readonly last: LogPart; readonly events: readonly LogEvent[] } | null {
    const parts: LogPart[] = [];
    for (let n: number | null = 0; n !== null;) {
      const part = this.askPart(WHICH.events, n);
      if (!part) return null;
      parts.push(part);
      n = nextAfter(part, EVENT_BYTES);
    }
    return { ...parseEvents(joined(parts)), last: parts.at(-1)! };
  }
}
