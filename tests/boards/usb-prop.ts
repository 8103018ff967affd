/** A pico with a rig on a USB cable, for tests: commands go over the cable, telemetry is heard from whichever line it comes. */
import { readFileSync } from 'node:fs';
import { expect } from 'vitest';
import { frameReader } from '../../host/controller/frames.ts';
import { packImage } from '../../host/controller/image.ts';
import {
  RESULT,
  STATES,
  type StateName,
  TYPE,
  emptyTelemetry,
  parseAnswer,
  parseIAm,
  parseTelemetry,
  sender,
} from '../../host/controller/messages.ts';
import { flashOf } from '../../host/targets/pico.ts';
import { PicoMachine } from '../../host/targets/rp2040/machine.ts';
import { rigOf } from '../assembly/rigs.ts';
import { firmwareOf } from './firmware.ts';

const HZ = 100;

export interface Ears {
  usb?(bytes: Uint8Array): void;
  tick?(): void;
}

export class UsbProp {
  readonly machine: PicoMachine;
  readonly rig = rigOf({ hz: HZ });
  readonly send = sender();
  readonly heard = emptyTelemetry();
  readonly cycles: number[] = [];
  /** Frames by line, frames that were damaged, answers to who. */
  overUsb = 0;
  overUart = 0;
  bad = 0;
  iAms = 0;
  /** Of the rig in force, as the last answer to who had it. */
  fingerprint = -1;
  private answer = -1;

  constructor(ears: Ears = {}) {
    const listen = (counts: 'overUsb' | 'overUart') =>
      frameReader({
        frame: (type, _sequence, payload) => {
          this[counts]++;
          if (type === TYPE.telemetry) parseTelemetry(payload, this.heard);
          else if (type === TYPE.answer) this.answer = parseAnswer(payload)!.result;
          else if (type === TYPE.iAm) {
            this.iAms++;
            this.fingerprint = parseIAm(payload)!.fingerprint;
          }
        },
        bad: () => this.bad++,
      });
    const [usb, uart] = [listen('overUsb'), listen('overUart')];
    this.machine = new PicoMachine(flashOf(readFileSync(firmwareOf('pico').image)), {
      byte: (value) => {
        uart(Uint8Array.of(value));
      },
      usb: (bytes) => {
        usb(bytes);
        ears.usb?.(bytes);
      },
      tick: (cycles) => {
        if (cycles !== null) this.cycles.push(cycles);
        ears.tick?.();
      },
    });
  }

  get state(): StateName {
    return STATES[this.heard.state]!;
  }

  run(for_us: number): void {
    this.machine.run(this.machine.now_us + for_us);
  }

  tell(bytes: Uint8Array, for_us = 30_000): void {
    this.machine.cable.write(bytes, this.machine.now_us);
    this.run(for_us);
  }

  /** The answer's result; -1: none came. */
  ask(type: number, for_us?: number): number {
    this.answer = -1;
    this.tell(this.send.command(type), for_us);
    return this.answer;
  }

  /** Has the rig, tells every tick, and is live or waits for frames. */
  wake(): void {
    for (const frame of this.send.image(packImage(this.rig))) this.tell(frame, 12_000);
    this.run(50_000);
    this.tell(this.send.report(1));
    expect(this.ask(TYPE.rouse)).toBe(RESULT.done);
    this.until('live', 'holding');
  }

  /** Runs until one of these states is told; returns those seen on the way, it among them. */
  until(...ends: readonly StateName[]): StateName[] {
    const seen: StateName[] = [];
    for (let n = 0; n < 1500; n++) {
      if (seen.at(-1) !== this.state) seen.push(this.state);
      if (ends.includes(this.state)) return seen;
      this.run(10_000);
    }
    expect.fail(`${ends.join(' or ')} does not come: ${seen.join(', ')}`);
  }

  pose(at_us: number, share: number, for_us: number): void {
    const values = Float64Array.of(8, 6, -5, 0.1, 0.1, -0.1, 0.3, 0.5).map((value) => value * share);
    this.tell(this.send.pose(at_us >>> 0, values, 6), for_us);
  }

  /** On its way somewhere: every joint moves. */
  move(): void {
    this.pose(this.heard.now_us + 60_000, 1, 200_000);
    this.pose(this.heard.now_us + 60_000, -1, 120_000);
    expect(this.heard.rise.some((step) => Math.abs(step) > 1e-4)).toBe(true);
  }
}
