/** A controller under test with its clock: bytes in, ticks, telemetry out, as a board and a host would do it. */
import { readFileSync } from 'node:fs';
import { type Boot, type Controller, instantiateController } from '../../host/controller/controller.ts';
import { frameReader } from '../../host/controller/frames.ts';
import { packImage } from '../../host/controller/image.ts';
import {
  type CommandAnswer,
  type IAm,
  STATES,
  type StateName,
  TYPE,
  type Telemetry,
  emptyTelemetry,
  parseAnswer,
  parseIAm,
  parseTelemetry,
  sender,
} from '../../host/controller/messages.ts';
import type { Rig } from '../../host/rig/rig.ts';

export const WASM = readFileSync('build/controller.wasm') as Uint8Array<ArrayBuffer>;

export class Prop {
  readonly controller: Controller;
  readonly send = sender();
  readonly telemetry: Telemetry = emptyTelemetry();
  readonly answers: CommandAnswer[] = [];
  iAm: IAm | null = null;
  badFrames = 0;
  /** Called after every tick whose telemetry came. */
  watch: (t: Telemetry) => void = () => undefined;
  private readonly read = frameReader({
    frame: (type, _sequence, payload) => {
      if (type === TYPE.telemetry && parseTelemetry(payload, this.telemetry)) this.watch(this.telemetry);
      else if (type === TYPE.answer) this.answers.push(parseAnswer(payload)!);
      else if (type === TYPE.iAm) this.iAm = parseIAm(payload);
    },
    bad: () => this.badFrames++,
  });

  readonly rig: Rig;

  constructor(rig: Rig, boot: Boot = {}, wasm = WASM) {
    this.controller = instantiateController(wasm);
    this.rig = rig;
    const refused = this.controller.init({ image: packImage(rig), ...boot });
    if (refused !== 0) throw new Error(`image refused: ${String(refused)}`);
    this.tell(this.send.report(1));
    this.run(1);
  }

  get state(): StateName {
    return STATES[this.controller.state]!;
  }

  get hz(): number {
    return this.rig.motion.tick_hz;
  }

  /** The controller's clock, us. */
  get now_us(): number {
    return this.telemetry.now_us;
  }

  tell(bytes: Uint8Array): void {
    this.controller.receive(bytes);
  }

  run(ticks: number): void {
    for (let i = 0; i < ticks; i++) {
      this.controller.tick();
      this.controller.drain(this.read);
    }
  }

  seconds(s: number): void {
    this.run(Math.round(s * this.hz));
  }

  /** Runs until the state is reached; throws after a minute of its time. */
  until(state: StateName): void {
    for (let i = 0; i < 60 * this.hz; i++) {
      if (this.state === state) return;
      this.run(1);
    }
    throw new Error(`never became ${state}: ${this.state}`);
  }

  /** The answer to a command: its result. */
  ask(type: number): number {
    this.answers.length = 0;
    this.tell(this.send.command(type));
    this.run(1);
    return this.answers.at(-1)!.result;
  }

  rouse(): void {
    this.ask(TYPE.rouse);
    this.until('live');
  }

  /** A frame `ahead_us` from now: pose (mm, rad), then the joints after the legs (rad). */
  pose(ahead_us: number, values: readonly number[]): void {
    const legs = this.rig.platform ? 6 : 0;
    this.tell(this.send.pose((this.now_us + ahead_us) >>> 0, Float64Array.from(values), legs));
  }
}
