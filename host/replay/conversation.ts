/**
 * The conversation with a controller: who are you, here is your rig, rouse, settle. Works over any open session; every wait
 * has an end, and what went wrong comes back in words.
 */
import {
  type CommandAnswer,
  type IAm,
  type Telemetry,
  PROTOCOL,
  RESULT,
  STATES,
  type StateName,
  TRIPS,
  TYPE,
  emptyTelemetry,
  parseAnswer,
  parseIAm,
  parseTelemetry,
  resultText,
  sender,
} from '../controller/messages.ts';
import type { ResponseTrouble } from '../controller/controller.ts';
import { frameReader } from '../controller/frames.ts';
import { imageFingerprint } from '../controller/image.ts';
import { type Proven, SUBJECT, type Session, type Target } from './target.ts';

/** Something that could not be done, in words for the user. */
export class TargetError extends Error {}

/** How often a wait looks. */
const STEP_US = 20_000;
const ANSWER_US = 1_000_000;
/** A board that stores a rig is busy with its flash: half a second for each of the f405's sectors (DS8626, flash memory). */
const STORE_US = 5_000_000;
/** Share by which a clock may go wrong: twice what two crystals do (common practice: 50 millionths). */
const DRIFT = 100e-6;
const MICROSECONDS = 1e6;
/** Telemetry that stays away for longer is asked for again: the board may have been reset. */
const SILENT_US = 500_000;
/** Waking takes no longer. */
const ROUSES_US = 120e6;
/** What has not begun to rouse by then warns first. */
const MOVES_US = 500_000;

export interface Watcher {
  /** Every telemetry frame, and its instant on the controller's clock (us, does not wrap); the object is reused. */
  telemetry(t: Telemetry, controller_us: number): void;
  tick?(duration_us: number): void;
  /** As Listener has it. */
  responded?(at_us: number, values: Float32Array, trouble: ResponseTrouble): void;
}

export class Conversation {
  /** Latest telemetry. */
  readonly latest: Telemetry = emptyTelemetry();
  /** The latest telemetry's instant on the controller's clock, us, going on where the u32 wraps. */
  controller_us = 0;
  /**
   * The controller's clock less the session's. Telemetry travels, so the greatest difference seen is the truest; it is let
   * go by 100 millionths, more than two crystals differ, so that drift is followed.
   */
  offset_us = 0;
  /** Frames from the controller that could not be right. */
  badFrames = 0;
  readonly send = sender();
  private readonly answers: CommandAnswer[] = [];
  private iAm: IAm | null = null;
  /** The payload that came last of every type that is none of these, as sent: what a question was answered with. */
  private readonly toldLast = new Map<number, DataView>();
  private heard = false;
  /** How often telemetry was asked for, in ticks; 0: never. */
  private everyTicks = 0;
  private heard_us = 0;

  readonly session: Session;
  private readonly proven: Proven;

  private constructor(session: Session, proven: Proven) {
    this.session = session;
    this.proven = proven;
  }

  /** What answers, as the subject of a sentence. */
  private get it(): string {
    return SUBJECT[this.proven];
  }

  private get doubts(): string {
    return this.proven === 'hardware' ? 'is the board powered, is it the right port' : `is ${this.it} still running`;
  }

  /** Opens the target. The watcher hears every telemetry frame from here on. */
  static async open(target: Target, watcher: Watcher): Promise<Conversation> {
    let talk: Conversation | null = null;
    const read = frameReader({
      frame: (type, _sequence, payload) => {
        talk?.take(type, payload, watcher);
      },
      bad: () => {
        if (talk) talk.badFrames++;
      },
    });
    const session = await target.open({
      bytes: read,
      ...(watcher.tick && { tick: watcher.tick.bind(watcher) }),
      ...(watcher.responded && { responded: watcher.responded.bind(watcher) }),
    });
    talk = new Conversation(session, target.proven);
    return talk;
  }

  get state(): StateName {
    return STATES[this.latest.state] ?? 'limp';
  }

  private take(type: number, payload: DataView, watcher: Watcher): void {
    if (type === TYPE.telemetry) {
      if (!parseTelemetry(payload, this.latest)) return;
      this.setClock();
      this.heard = true;
      this.heard_us = this.session.now_us;
      watcher.telemetry(this.latest, this.controller_us);
    } else if (type === TYPE.answer) {
      const answer = parseAnswer(payload);
      if (answer) this.answers.push(answer);
    } else if (type === TYPE.iAm) this.iAm = parseIAm(payload);
    else {
      const bytes = new Uint8Array(payload.buffer, payload.byteOffset, payload.byteLength).slice();
      this.toldLast.set(type, new DataView(bytes.buffer));
    }
  }

  private setClock(): void {
    const step_us = (this.latest.now_us - this.controller_us) >>> 0;
    this.controller_us += step_us > 2 ** 31 ? step_us - 2 ** 32 : step_us;
    if (this.session.sharesClock) return;
    const seen_us = this.controller_us - this.session.now_us;
    this.offset_us = this.heard ? Math.max(this.offset_us - DRIFT * step_us, seen_us) : seen_us;
  }

  /** Now, on the controller's clock. */
  get now_us(): number {
    return this.session.now_us + this.offset_us;
  }

  /** Runs until the condition holds; false when it did not within the time. */
  async until(holds: () => boolean, within_us: number): Promise<boolean> {
    const end_us = this.session.now_us + within_us;
    while (!holds()) {
      if (this.session.now_us >= end_us) return false;
      await this.session.advance(this.session.now_us + STEP_US);
    }
    return true;
  }

  /** Sends one frame and returns the controller's answer to it. Throws TargetError when none comes. */
  async ask(frame: Uint8Array, within_us = ANSWER_US): Promise<number> {
    const sequence = this.send.sequence;
    this.session.write(frame, this.session.now_us);
    const find = (): CommandAnswer | undefined => this.answers.find((answer) => answer.sequence === sequence);
    if (!(await this.until(() => find() !== undefined, within_us)))
      throw new TargetError(`${this.it} does not answer: ${this.doubts}, does another program have the port open?`);
    const result = find()?.result ?? RESULT.malformed;
    this.answers.length = 0;
    return result;
  }

  /**
   * Sends a question that is answered by a frame of `type`, or by a result that refuses it. Throws TargetError when nothing comes.
   * @returns the frame's payload, or the result
   */
  async askFor(frame: Uint8Array, type: number, within_us = ANSWER_US): Promise<DataView | number> {
    const sequence = this.send.sequence;
    this.toldLast.delete(type);
    this.session.write(frame, this.session.now_us);
    const refusal = (): CommandAnswer | undefined => this.answers.find((answer) => answer.sequence === sequence);
    const came = await this.until(() => this.toldLast.has(type) || refusal() !== undefined, within_us);
    const result = refusal()?.result;
    this.answers.length = 0;
    if (!came) throw new TargetError(`${this.it} does not answer: ${this.doubts}?`);
    return this.toldLast.get(type) ?? result ?? RESULT.malformed;
  }

  /** The payload of this type that came last since it was asked for, as a whole; null: none has. A new one is another view. */
  told(type: number): DataView | null {
    return this.toldLast.get(type) ?? null;
  }

  /** Who is there. Throws TargetError when nobody is, or speaks another version. */
  async who(): Promise<IAm> {
    this.iAm = null;
    this.session.write(this.send.command(TYPE.who), this.session.now_us);
    await this.until(() => this.iAm !== null, ANSWER_US);
    const answer = this.iAm as IAm | null;
    if (!answer) throw new TargetError(`nothing answers on the link: ${this.doubts}?`);
    if (answer.protocol !== PROTOCOL)
      throw new TargetError(
        `${this.it} speaks version ${String(answer.protocol)} of the link protocol, this program version ${String(PROTOCOL)}: ${this.proven === 'hardware' ? 'flash' : 'build'} it again`,
      );
    return answer;
  }

  /** Who is there. Throws TargetError when it runs another rig than this: it may be another prop. */
  async expect(image: Uint8Array, target: Target): Promise<IAm> {
    const answer = await this.who();
    const { fingerprint } = answer;
    if (fingerprint !== 0 && fingerprint !== imageFingerprint(image))
      throw new TargetError(
        `${this.it} runs another rig (fingerprint ${fingerprint.toString(16).padStart(8, '0')}): if this is its prop, ` +
          `"posewright send RIG --on ${target.name}" gives it this one`,
      );
    return answer;
  }

  /** Brings the rig image into force, unless it is already. Resolves whether it is in the board's flash too. */
  async load(image: Uint8Array): Promise<boolean> {
    const { fingerprint, stored } = await this.who();
    return fingerprint === imageFingerprint(image) ? stored : this.transfer(image);
  }

  /** Brings the rig image into force and into the board's flash. Resolves false when the flash did not take it. */
  async store(image: Uint8Array): Promise<boolean> {
    const { fingerprint, stored } = await this.who();
    return (stored && fingerprint === imageFingerprint(image)) || this.transfer(image);
  }

  private async transfer(image: Uint8Array): Promise<boolean> {
    for (const frame of this.send.image(image)) {
      const result = await this.ask(frame, STORE_US);
      if (result === RESULT.notStored) return false;
      if (result !== RESULT.done) throw new TargetError(`${this.it} did not accept the rig: ${resultText(result)}`);
    }
    return true;
  }

  /**
   * From limp to live; a board with a night warns for 5 s or more before it moves. Resolves false when it ended elsewhere.
   * @param warning called where it warns first
   */
  async rouse(warning: () => void = () => undefined): Promise<boolean> {
    const result = await this.ask(this.send.command(TYPE.rouse));
    if (result !== RESULT.done) throw new TargetError(`${this.it} refused to wake: ${resultText(result)}`);
    if (!(await this.until(() => this.state !== 'limp', MOVES_US))) warning();
    const end_us = this.session.now_us + ROUSES_US;
    const isOver = (): boolean => this.state === 'live' || this.state === 'tripped';
    while (!isOver() && this.session.now_us < end_us) {
      await this.until(() => isOver() || this.isMute, end_us - this.session.now_us);
      if (!isOver()) await this.listenAgain();
    }
    return this.state === 'live';
  }

  /** To the rest, then limp (or resting, where the rest needs power). Resolves false when it did not get there. */
  async settle(): Promise<boolean> {
    await this.ask(this.send.command(TYPE.settle));
    const there = (): boolean =>
      this.state === 'limp' || this.latest.resting || this.latest.pulse_us.every((us) => us === 0);
    return this.until(there, 120 * MICROSECONDS);
  }

  /** Telemetry was asked for, and stays away: a board that was reset sends none until it is asked again. */
  private get isMute(): boolean {
    return this.everyTicks > 0 && this.session.now_us - this.heard_us > SILENT_US;
  }

  /** Asks again for telemetry that stays away. */
  async listenAgain(): Promise<void> {
    if (this.isMute) await this.report(this.everyTicks);
  }

  /** Telemetry on every `ticks`-th tick. */
  async report(ticks: number): Promise<void> {
    this.everyTicks = ticks;
    await this.ask(this.send.report(ticks));
    this.heard = false;
    await this.until(() => this.heard, ANSWER_US);
  }

  /** Why it tripped, in words. */
  get tripped(): string | null {
    return this.state === 'tripped' ? (TRIPS[this.latest.trip] ?? 'unknown reason') : null;
  }
}
