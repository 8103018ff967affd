/** The guard on the emulated pico, at its pins: stop input, power switch, traps and watchdog resets in mid-motion. */
import { readFileSync } from 'node:fs';
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { frameReader } from '../../host/controller/frames.ts';
import { imageFingerprint, packImage } from '../../host/controller/image.ts';
import {
  RESULT,
  STATES,
  type StateName,
  TYPE,
  type IAm,
  emptyTelemetry,
  parseAnswer,
  parseIAm,
  parseTelemetry,
  sender,
} from '../../host/controller/messages.ts';
import { elfSymbols } from '../../host/targets/elf.ts';
import { flashOf } from '../../host/targets/pico.ts';
import { PicoMachine } from '../../host/targets/rp2040/machine.ts';
import { type RigOptions, rigOf } from '../assembly/rigs.ts';
import { firmwareOf, has } from './firmware.ts';

const [STOP_PIN, POWER_PIN] = [20, 21];
const LAST_SERVO_PIN = 17;
const HZ = 100;
const FRAME_US = 20_000;
const [SUPPLY_TRIP, WATCHDOG_TRIP] = [2, 6];
/** boards/pico/board_config.h: 10 kOhm above, 2.2 kOhm below. */
const [SUPPLY_PIN, SUPPLY_SHARE] = [28, 2.2 / 12.2];

interface Edge {
  readonly pin: number;
  readonly high: boolean;
  readonly at_us: number;
}

class Prop {
  readonly machine: PicoMachine;
  readonly rig;
  readonly send = sender();
  readonly heard = emptyTelemetry();
  readonly edges: Edge[] = [];
  answer = -1;
  iAm: IAm | null = null;

  constructor(options: RigOptions) {
    this.rig = rigOf({ hz: HZ, ...options });
    const read = frameReader({
      frame: (type, _sequence, payload) => {
        if (type === TYPE.telemetry) parseTelemetry(payload, this.heard);
        else if (type === TYPE.answer) this.answer = parseAnswer(payload)!.result;
        else if (type === TYPE.iAm) this.iAm = parseIAm(payload);
      },
      bad: () => undefined,
    });
    this.machine = new PicoMachine(flashOf(readFileSync(firmwareOf('pico').image)), {
      byte: (value) => read(Uint8Array.of(value)),
      edge: (pin, high, at_us) => this.edges.push({ pin, high, at_us }),
    });
    this.machine.run(20_000);
    for (const frame of this.send.image(packImage(this.rig))) this.tell(frame);
    this.tell(this.send.report(1));
  }

  run(for_us: number): void {
    this.machine.run(this.machine.now_us + for_us);
  }
  tell(bytes: Uint8Array): void {
    this.machine.write(bytes, this.machine.now_us);
    this.run(30_000);
  }
  ask(type: number): number {
    this.answer = -1;
    this.tell(this.send.command(type));
    return this.answer;
  }
  get state(): StateName {
    return STATES[this.heard.state]!;
  }
  supply(volts: number): void {
    this.machine.setVoltage(SUPPLY_PIN, volts * SUPPLY_SHARE);
  }
  until(...states: readonly StateName[]): void {
    for (let n = 0; n < 1500 && !states.includes(this.state); n++) this.run(10_000);
    expect(states).toContain(this.state);
  }
  rouse(): void {
    expect(this.ask(TYPE.rouse)).toBe(RESULT.done);
    this.until('live', 'holding');
  }
  /** On its way somewhere: every joint moves. */
  move(): void {
    this.tell(this.send.pose(this.heard.now_us + 60_000, Float64Array.of(8, 6, -5, 0.1, 0.1, -0.1, 0.3, 0.8), 6));
    this.run(200_000);
    this.tell(this.send.pose(this.heard.now_us + 60_000, Float64Array.of(-8, -6, 5, -0.1, -0.1, 0.1, -0.3, 0.2), 6));
    this.run(120_000);
    expect(this.heard.rise.some((step) => step > 1e-4)).toBe(true);
  }
  /** Width of the last whole pulse at each servo pin since an instant, us; 0: none. */
  widths(from_us: number): number[] {
    return this.rig.joints.map(({ pin }) => {
      const own = this.edges.filter((edge) => edge.pin === pin);
      const fall = own.findLastIndex((edge) => !edge.high);
      const rise = own[fall - 1];
      return fall > 0 && rise && rise.at_us >= from_us ? Math.round(own[fall]!.at_us - rise.at_us) : 0;
    });
  }
  last(pins: (pin: number) => boolean, high: boolean): number {
    return this.edges.findLast((edge) => pins(edge.pin) && edge.high === high)?.at_us ?? NaN;
  }
  get powered(): boolean {
    return this.edges.findLast(({ pin }) => pin === POWER_PIN)?.high ?? false;
  }
}

const isServo = (pin: number): boolean => pin <= LAST_SERVO_PIN && pin >= 2;

describe.skipIf(!has('arm-none-eabi-gcc'))('the pico, at its pins', () => {
  let prop: Prop;
  beforeAll(() => {
    firmwareOf('pico');
  });
  afterEach(() => {
    expect(prop.machine.faults).toEqual([]);
  });

  it('has power before the first pulse; a broken stop loop settles it, then pulses end, then power', () => {
    prop = new Prop({ rest: [-4, 0, 0, 0, 0, 0] });
    expect(prop.edges.filter(({ pin, high }) => high && (isServo(pin) || pin === POWER_PIN))).toEqual([]);
    prop.rouse();
    const on_us = prop.edges.find(({ pin, high }) => pin === POWER_PIN && high)!.at_us;
    expect(prop.edges.find(({ pin, high }) => isServo(pin) && high)!.at_us).toBeGreaterThan(on_us);
    prop.move();
    prop.machine.setInput(STOP_PIN, true);
    prop.run(30_000);
    expect(prop.state).toBe('settling');
    expect(prop.heard.stopOpen).toBe(true);
    prop.until('limp');
    prop.run(2 * FRAME_US);
    expect(prop.powered).toBe(false);
    expect(prop.last((pin) => pin === POWER_PIN, false)).toBeGreaterThan(prop.last(isServo, true));
    const end_us = prop.machine.now_us;
    prop.run(5 * FRAME_US);
    expect(prop.last(isServo, true)).toBeLessThan(end_us);
    // Nothing rouses it while the loop is open.
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.notNow);
    prop.machine.setInput(STOP_PIN, false);
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.done);
  });

  it('a stop of category 0 in mid-motion takes power and pulses within a servo frame, and cuts no pulse short', () => {
    prop = new Prop({ stopCategory: 0 });
    prop.rouse();
    prop.move();
    const open_us = prop.machine.now_us;
    prop.machine.setInput(STOP_PIN, true);
    prop.run(4 * FRAME_US);
    expect(prop.state).toBe('limp');
    expect(prop.powered).toBe(false);
    expect(prop.last((pin) => pin === POWER_PIN, false) - open_us).toBeLessThan(FRAME_US);
    expect(prop.last(isServo, true) - open_us).toBeLessThan(FRAME_US + 1e6 / HZ);
    for (const [i, us] of prop.widths(open_us - 2 * FRAME_US).entries()) {
      expect(us).toBeGreaterThanOrEqual(prop.rig.joints[i]!.range_us[0]);
      expect(us).toBeLessThanOrEqual(prop.rig.joints[i]!.range_us[1]);
    }
  });

  it.each(['is lost', 'traps'])(
    'when the program %s in mid-motion the widths stay, over the reset too, until it is settled',
    (how) => {
      prop = new Prop({});
      prop.rouse();
      prop.move();
      const { machine } = prop;
      const from_us = machine.now_us;
      if (how === 'traps') machine.jump(elfSymbols(readFileSync(firmwareOf('pico').elf)).get('wasm_rt_trap')!);
      else machine.hang();
      machine.run(from_us + 400_000);
      expect(machine.bites).toBe(0);
      const widths = prop.widths(machine.now_us - 2 * FRAME_US);
      expect(widths.every((us) => us > 0)).toBe(true);
      machine.run(from_us + 700_000);
      expect(machine.bites).toBe(1);
      expect(prop.widths(machine.now_us - 2 * FRAME_US)).toEqual(widths);
      expect(prop.powered).toBe(true);
      // A reset cuts a frame short: the next ends it.
      prop.tell(Uint8Array.of(0));
      prop.tell(prop.send.report(1));
      expect(prop.heard).toMatchObject({ state: STATES.indexOf('tripped'), trip: WATCHDOG_TRIP });
      expect(prop.ask(TYPE.clear)).toBe(RESULT.notNow);
      expect(prop.widths(machine.now_us - 2 * FRAME_US)).toEqual(widths);
      expect(prop.ask(TYPE.settle)).toBe(RESULT.done);
      for (let n = 0; n < 1500 && prop.powered; n++) prop.run(10_000);
      expect(prop.state).toBe('tripped');
      expect(prop.powered).toBe(false);
      expect(prop.ask(TYPE.clear)).toBe(RESULT.done);
      prop.until('limp');
    },
  );

  it('settles when its battery is low for longer than a dip, off at its rest, and stays tripped over a reset', () => {
    prop = new Prop({ low_v: 6.4 });
    prop.supply(7.4);
    prop.rouse();
    prop.move();
    // All servos start at once: down to 5 V for 60 ms.
    prop.supply(5);
    prop.run(60_000);
    prop.supply(7.4);
    prop.run(200_000);
    expect(prop.heard.trip).toBe(0);
    // Just above the limit, for as long as one likes; the converter's step is 4.5 mV.
    prop.supply(6.41);
    prop.move();
    expect(prop.heard.trip).toBe(0);
    prop.supply(6.39);
    const low_us = prop.machine.now_us;
    prop.until('tripped');
    expect(prop.heard.trip).toBe(SUPPLY_TRIP);
    expect(prop.machine.now_us - low_us).toBeGreaterThan(100_000);
    expect(prop.machine.now_us - low_us).toBeLessThan(150_000);
    // It settles first: every pulse is there, and what moves is on its way to its rest.
    expect(prop.widths(prop.machine.now_us - 2 * FRAME_US).every((us) => us > 0)).toBe(true);
    for (let n = 0; n < 1500 && prop.powered; n++) prop.run(10_000);
    expect(prop.powered).toBe(false);
    prop.rig.joints.forEach((joint, i) => expect(prop.heard.position[i]).toBeCloseTo(joint.rest, 5));
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.notNow);
    prop.machine.reset('pin');
    prop.run(30_000);
    prop.tell(Uint8Array.of(0));
    prop.tell(prop.send.report(1));
    expect(prop.heard).toMatchObject({ state: STATES.indexOf('tripped'), trip: SUPPLY_TRIP });
    expect(prop.ask(TYPE.clear)).toBe(RESULT.done);
    prop.until('limp');
    // Still low: it comes no further than its first pulses.
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.done);
    prop.until('tripped');
    expect(prop.heard.trip).toBe(SUPPLY_TRIP);
  });

  it('takes a supply that it does not see for a low one, where the rig wants it watched, and for nothing where not', () => {
    prop = new Prop({});
    prop.rouse();
    prop.run(500_000);
    expect(prop.heard.trip).toBe(0);
    prop = new Prop({ low_v: 6.4 });
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.done);
    prop.until('tripped');
    expect(prop.heard.trip).toBe(SUPPLY_TRIP);
  });

  it('says at once and for good that its flash did not take a rig, and has the old one when the power comes back', () => {
    prop = new Prop({});
    const who = (): unknown => {
      prop.tell(prop.send.command(TYPE.who));
      return { print: prop.iAm?.fingerprint, stored: prop.iAm?.stored };
    };
    const [first, other] = [packImage(prop.rig), packImage(rigOf({ hz: 50 }))];
    expect(prop.answer).toBe(RESULT.done);
    expect(who()).toEqual({ print: imageFingerprint(first), stored: true });
    prop.machine.wearFlashOut();
    for (const frame of prop.send.image(other)) prop.tell(frame);
    expect(prop.answer).toBe(RESULT.notStored);
    expect(who()).toEqual({ print: imageFingerprint(other), stored: false });
    prop.machine.reset('power');
    prop.run(30_000);
    prop.tell(Uint8Array.of(0));
    expect(who()).toEqual({ print: imageFingerprint(first), stored: true });
  });

  it('takes what it can of a line that brings more than it reads, loses the rest, and answers afterwards', () => {
    // 1000 bytes a tick, of which the controller reads 256.
    prop = new Prop({ hz: 50 });
    const { machine } = prop;
    const who = prop.send.command(TYPE.who);
    machine.write(Buffer.concat(Array.from({ length: 10_000 }, () => who)), machine.now_us);
    prop.run(1_500_000);
    expect(machine.lost).toBe(0);
    prop.tell(Uint8Array.of(0));
    expect(prop.ask(TYPE.rouse)).toBe(RESULT.done);
    expect(machine.bites).toBe(0);
  });
});
