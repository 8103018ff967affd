/** One hand-made servo on the simulated controller, and somebody who reads it: centre, scale, sense and stops differ from the rig's. */
import { readFileSync } from 'node:fs';
import type { Person, Question } from '../../../host/bringup/person.ts';
import { SettleAsked } from '../../../host/bringup/person.ts';
import { frameReader } from '../../../host/controller/frames.ts';
import { TYPE, emptyTelemetry, parseTelemetry } from '../../../host/controller/messages.ts';
import type { Target } from '../../../host/replay/target.ts';
import { simTarget } from '../../../host/targets/sim.ts';

export interface Truth {
  centre_us: number;
  us_per_deg: number;
  sense: 1 | -1;
  /** Where the horn sits, deg at pulse centre_us. */
  horn_deg: number;
  /** Where it binds, deg. */
  stops: [number, number];
  deadband_us: number;
}

export const TRUE: Truth = {
  centre_us: 1500,
  us_per_deg: 10,
  sense: 1,
  horn_deg: 0,
  stops: [-500, 500],
  deadband_us: 0,
};

/** The target, with all pulses that came out of it. */
export class ServoOnSim implements Person {
  readonly truth: Truth;
  readonly said: string[] = [];
  readonly asked: Question[] = [];
  /** All pulses seen of the first joint, µs, and the longest step of 20 ms, µs. */
  readonly pulses: number[] = [];
  /** Answers to be given in place of what is read. */
  wrong: string[] = [];
  /** Settles at this question. */
  settlesAt: string | null = null;
  /** Presses the key at this many steps. */
  settleSteps = Infinity;
  /** The cable is out from this many steps on. */
  pulledSteps = Infinity;
  private steps = 0;
  private stands_us = 0;
  readonly target: Target;

  constructor(truth: Partial<Truth> = {}) {
    this.truth = { ...TRUE, ...truth };
    const sim = simTarget({
      wasm: new Uint8Array(readFileSync(new URL('../../../build/controller.wasm', import.meta.url))),
    });
    const telemetry = emptyTelemetry();
    const read = frameReader({
      frame: (type, _sequence, payload) => {
        if (type === TYPE.telemetry && parseTelemetry(payload, telemetry)) this.see(telemetry.pulse_us[0] ?? 0);
      },
      bad: () => undefined,
    });
    this.target = {
      ...sim,
      open: (listener) =>
        sim.open({
          bytes: (data) => {
            if (this.steps >= this.pulledSteps) return;
            read(data);
            listener.bytes(data);
          },
        }),
    };
  }

  private see(us: number): void {
    if (us === 0) return;
    this.pulses.push(us);
    const { deadband_us: dead } = this.truth;
    this.stands_us = Math.min(Math.max(this.stands_us || us, us - dead), us + dead);
  }

  /** Where it truly stands, deg. */
  get angle(): number {
    const { centre_us, us_per_deg, sense, horn_deg } = this.truth;
    return (sense * (this.stands_us - centre_us)) / us_per_deg + horn_deg;
  }

  say(words: string): void {
    this.said.push(words);
  }
  ask(question: Question): Promise<string> {
    this.asked.push(question);
    if (question.id === this.settlesAt) return Promise.reject(new SettleAsked());
    if (question.id === 'centre.refit') {
      const [, teeth, way] = /back (\d+) (?:tooth|teeth) towards (plus|minus)/.exec(question.text) ?? [];
      this.truth.horn_deg += (way === 'plus' ? 1 : -1) * Number(teeth) * (360 / 25);
    }
    if (question.unit === null) return Promise.resolve('');
    return Promise.resolve(this.wrong.shift() ?? this.angle.toFixed(2));
  }
  binds(): boolean {
    const [lo, hi] = this.truth.stops;
    return this.angle < lo || this.angle > hi;
  }
  settles(): boolean {
    return ++this.steps > this.settleSteps;
  }
}
