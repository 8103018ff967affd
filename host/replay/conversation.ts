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
import { frameReader } from '../controller/frames.ts';
import { imageFingerprint } from '../controller/image.ts';
import type { Session, Target } from './target.ts';

/** Something that could not be done, in words for the user. */
export class TargetError extends Error {}

/** How often a wait looks. */
const STEP_US = 20_000;
const ANSWER_US = 1_000_000;
/** Share by which a clock may go wrong: twice what two crystals do (common practice: 50 millionths). */
const DRIFT = 100e-6;
const MICROSECONDS = 1e6;

export interface Watcher {
  /** Every telemetry frame, and its instant on the controller's clock (us, does not wrap); the object is reused. */
  telemetry(t: Telemetry, controller_us: number): void;
  tick?(duration_us: number): void;
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
  private heard = false;

  readonly session: Session;

  private constructor(session: Session) {
    this.session = session;
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
    const session = await target.open({ bytes: read, ...(watcher.tick ? { tick: watcher.tick.bind(watcher) } : {}) });
    talk = new Conversation(session);
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
      watcher.telemetry(this.latest, this.controller_us);
    } else if (type === TYPE.answer) {
      const answer = parseAnswer(payload);
      if (answer) this.answers.push(answer);
    } else if (type === TYPE.iAm) this.iAm = parseIAm(payload);
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
  async ask(frame: Uint8Array): Promise<number> {
    const sequence = this.send.sequence;
    this.session.write(frame, this.session.now_us);
    const find = (): CommandAnswer | undefined => this.answers.find((answer) => answer.sequence === sequence);
    if (!(await this.until(() => find() !== undefined, ANSWER_US)))
      throw new TargetError(
        'the board does not answer: is it powered, is the link right, does another program hold it?',
      );
    const result = find()?.result ?? RESULT.malformed;
    this.answers.length = 0;
    return result;
  }

  /** Who is there. Throws TargetError when nobody is, or speaks another version. */
  async who(): Promise<IAm> {
    this.iAm = null;
    this.session.write(this.send.command(TYPE.who), this.session.now_us);
    await this.until(() => this.iAm !== null, ANSWER_US);
    const answer = this.iAm as IAm | null;
    if (!answer) throw new TargetError('nobody answers on the link: is the board powered, is the link right?');
    if (answer.protocol !== PROTOCOL)
      throw new TargetError(
        `the board speaks version ${String(answer.protocol)} of the link, this program version ${String(PROTOCOL)}: flash it anew`,
      );
    return answer;
  }

  /** Throws TargetError when a real board runs another rig than this: it may be another prop. */
  async expect(image: Uint8Array, target: Target): Promise<void> {
    const { fingerprint } = await this.who();
    const other = fingerprint !== 0 && fingerprint !== imageFingerprint(image);
    if (other && target.proven === 'hardware')
      throw new TargetError(
        `the board runs another rig (fingerprint ${fingerprint.toString(16).padStart(8, '0')}): if this is its prop, ` +
          `"posewright send RIG --on ${target.name}" gives it this one`,
      );
  }

  /** Brings the rig image into force, unless it is already. */
  async load(image: Uint8Array): Promise<void> {
    if ((await this.who()).fingerprint === imageFingerprint(image)) return;
    for (const frame of this.send.image(image)) {
      const result = await this.ask(frame);
      if (result !== RESULT.done) throw new TargetError(`the board did not take the rig: ${resultText(result)}`);
    }
  }

  /** From limp to live. Resolves false when it ended elsewhere. */
  async rouse(): Promise<boolean> {
    const result = await this.ask(this.send.command(TYPE.rouse));
    if (result !== RESULT.done) throw new TargetError(`the board will not rouse: ${resultText(result)}`);
    await this.until(() => this.state === 'live' || this.state === 'tripped', 120 * MICROSECONDS);
    return this.state === 'live';
  }

  /** To the rest, then limp (or resting, where the rest needs power). Resolves false when it did not get there. */
  async settle(): Promise<boolean> {
    await this.ask(this.send.command(TYPE.settle));
    const there = (): boolean =>
      this.state === 'limp' || this.latest.resting || this.latest.pulse_us.every((us) => us === 0);
    return this.until(there, 120 * MICROSECONDS);
  }

  /** Telemetry on every `ticks`-th tick. */
  async report(ticks: number): Promise<void> {
    await this.ask(this.send.report(ticks));
    this.heard = false;
    await this.until(() => this.heard, ANSWER_US);
  }

  /** Why it tripped, in words. */
  get tripped(): string | null {
    return this.state === 'tripped' ? (TRIPS[this.latest.trip] ?? 'unknown reason') : null;
  }
}
