/** A prop on the native board in lockstep: rig sent, told what to do, its telemetry read on every tick. */
import { frameReader } from '../../host/controller/frames.ts';
import { packImage } from '../../host/controller/image.ts';
import {
  type IAm,
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
import { type Conditions, Lockstep, type Tick } from '../../host/build/bench/boards/lockstep.ts';
import { type RigOptions, rigOf } from '../assembly/rigs.ts';
import { firmwareOf } from './firmware.ts';

/** A minute of its time is enough for anything. */
const MOST_S = 60;

export class NativeProp {
  readonly rig;
  readonly send = sender();
  readonly telemetry = emptyTelemetry();
  iAm: IAm | null = null;
  answers: number[] = [];
  /** Called after every tick. */
  watch: (tick: Tick) => void = () => undefined;
  stopOpen = false;
  late = false;
  /** What the servos are fed with; 0: the board does not measure it. */
  supply_mv = 0;
  private readonly board: Lockstep;
  private readonly read = frameReader({
    frame: (type, _sequence, payload) => {
      if (type === TYPE.telemetry) parseTelemetry(payload, this.telemetry);
      else if (type === TYPE.answer) this.answers.push(parseAnswer(payload)!.result);
      else if (type === TYPE.iAm) this.iAm = parseIAm(payload);
    },
    bad: () => undefined,
  });

  private constructor(rig: ReturnType<typeof rigOf>, environment: Readonly<Record<string, string>>) {
    this.rig = rig;
    this.board = new Lockstep(firmwareOf('native').elf, environment);
  }

  /** With a rig, limp, reporting on every tick; 50 ticks a second unless the rig says otherwise. */
  static async start(
    options: RigOptions = {},
    environment: Readonly<Record<string, string>> = {},
  ): Promise<NativeProp> {
    const prop = new NativeProp(rigOf({ hz: 50, ...options }), environment);
    for (const frame of prop.send.image(packImage(prop.rig))) await prop.run(1, frame);
    await prop.run(1, prop.send.report(1));
    return prop;
  }

  /** As it starts, without a word to it. */
  static silent(options: RigOptions, environment: Readonly<Record<string, string>>): NativeProp {
    return new NativeProp(rigOf({ hz: 50, ...options }), environment);
  }

  get state(): StateName {
    return STATES[this.telemetry.state]!;
  }

  async run(n: number, first: Uint8Array = new Uint8Array(0)): Promise<Tick> {
    const conditions: Conditions = {
      stopOpen: this.stopOpen,
      late: this.late,
      supply_mv: this.supply_mv,
    };
    const ticks = await this.board.run(n, first, conditions);
    for (const tick of ticks) {
      this.read(tick.bytes);
      this.watch(tick);
    }
    return ticks.at(-1)!;
  }

  async seconds(s: number): Promise<Tick> {
    return this.run(Math.round(s * this.rig.motion.tick_hz));
  }

  /** Says something and returns the answer to it. */
  async ask(frame: number | Uint8Array): Promise<number> {
    this.answers = [];
    await this.run(1, typeof frame === 'number' ? this.send.command(frame) : frame);
    return this.answers.at(-1) ?? NaN;
  }

  async until(...states: readonly StateName[]): Promise<void> {
    for (let n = 0; n < MOST_S * this.rig.motion.tick_hz; n++) {
      if (states.includes(this.state)) return;
      await this.run(1);
    }
    throw new Error(`never became ${states.join(' or ')}: ${this.state}`);
  }

  async rouse(): Promise<void> {
    if ((await this.ask(TYPE.rouse)) !== RESULT.done) throw new Error('it does not rouse');
    await this.until('live');
  }

  /** A pose (mm, rad), then nod and lid (rad), `ahead_us` from now. */
  pose(ahead_us: number, ...values: readonly number[]): Uint8Array {
    return this.send.pose((this.telemetry.now_us + ahead_us) >>> 0, Float64Array.from(values), 6);
  }

  /** Keeps a pose coming for a while, a frame a tick. */
  async feed(seconds: number, ...values: readonly number[]): Promise<void> {
    for (let n = 0; n < seconds * this.rig.motion.tick_hz; n++) await this.run(1, this.pose(20_000, ...values));
  }

  end(): Promise<number | null> {
    return this.board.end();
  }
}

/** How many pins have pulses. */
export const pulsing = ({ pulses }: Tick): number => pulses.filter((us) => us !== 0).length;
