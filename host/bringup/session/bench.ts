/**
 * The bench of a bring-up: one conversation with a controller that has either one joint alone (bench-rig.ts) or the whole prop, slow.
 * It keeps the frames coming, 50 a second, while a joint moves and while a question waits; if this program dies, the guard holds and
 * then settles. Knows no verb.
 */
import { packImage } from '../../controller/image.ts';
import { TYPE } from '../../controller/messages.ts';
import { slow, slowed } from '../../controller/slowed.ts';
import { Conversation, TargetError } from '../../replay/conversation.ts';
import { SUBJECT, type Target } from '../../replay/target.ts';
import type { JointFigures } from '../../rig/joint-edit.ts';
import { positionAt } from '../../rig/pulse.ts';
import type { RigFiles } from '../../rig/read.ts';
import { HOME, type Joint, type Rig, toShown } from '../../rig/rig.ts';
import { type Span, benchRig, paceOf } from '../bench-rig.ts';
import { type Person, type Question, SettleAsked } from '../person.ts';
import { VerbEnded } from '../verb.ts';
import { type Allowed, numberIn } from './answers.ts';
import { type Pace, ramp } from './ramp.ts';
import { type RigText, changed, rigOf } from './rig-text.ts';

const STEP_US = 20_000;
const STEPS_A_SECOND = 50;
/** A board that says nothing for so long is not there. */
const SILENT_US = 1_000_000;
/** Until a servo stands after a move (common practice). */
const STAND_STEPS = 25;
const TRIES = 3;

export interface BenchOptions {
  readonly target: Target;
  /** Text of the rig file, without errors. */
  readonly text: string;
  /** What hands out the files that it names. */
  readonly files?: RigFiles;
  /** Puts the new text in the place of the old one, and returns what keeps the old one; without, `bench.text` alone changes. Throws VerbEnded. */
  readonly keep?: (before: string, after: string) => string;
  /** Waits for real milliseconds: what a target without a clock of its own is paced by while a question waits. */
  readonly sleep?: (ms: number) => Promise<void>;
  /** Somebody watches: motion, too, takes its time on a target without a clock of its own. */
  readonly inRealTime?: boolean;
  /** Why the rig is not for the board that answers with this number of its kind, in words; null: it is. */
  readonly misfit?: (board: number) => string | null;
}

const realSleep = (ms: number): Promise<void> => new Promise((wake) => setTimeout(wake, ms));
/** After what is at hand already. */
const soon = (): Promise<void> => new Promise((wake) => setImmediate(wake));

interface Alone {
  readonly joint: Joint;
  readonly key: string;
  readonly span: Span;
  readonly pace: Pace;
}

export class Bench {
  readonly target: Target;
  private readonly talk: Conversation;
  private readonly options: BenchOptions;
  private now: RigText;
  /** What the controller has: a joint alone; the whole; null: whatever it had. */
  private alone_: Alone | null = null;
  private wholeImage: Uint8Array | null = null;
  /** What is asked of the joint that is alone, rad or mm. */
  private asked = NaN;
  /** Where it stood when a move was ended on its way, rad or mm. */
  endedAt = NaN;
  private heard_us = 0;
  private steps = 0;
  private values = new Float64Array(7);

  private constructor(talk: Conversation, options: BenchOptions, now: RigText) {
    this.talk = talk;
    this.target = options.target;
    this.options = options;
    this.now = now;
  }

  /** Opens the target. Throws TargetError where nothing answers, or the rig is not for it. */
  static async open(options: BenchOptions): Promise<Bench> {
    const now = rigOf(options.text, options.files);
    if ('problem' in now) throw new TargetError(now.problem);
    let bench: Bench | null = null;
    const talk = await Conversation.open(options.target, { telemetry: () => bench?.hear() });
    bench = new Bench(talk, options, now);
    try {
      const { board } = await talk.who();
      const misfit = options.misfit?.(board) ?? null;
      if (misfit !== null) throw new TargetError(misfit);
      await bench.listen();
    } catch (error) {
      await talk.session.close();
      throw error;
    }
    return bench;
  }

  private hear(): void {
    this.heard_us = this.talk.session.now_us;
  }

  private async listen(): Promise<void> {
    const { tick_hz } = await this.talk.who();
    await this.talk.report(Math.max(1, Math.round(tick_hz / STEPS_A_SECOND)));
    this.hear();
  }

  get rig(): Rig {
    return this.now.rig;
  }
  /** The rig file as it is to be now. */
  get text(): string {
    return this.now.text;
  }
  get state(): Conversation['state'] {
    return this.talk.state;
  }
  /** Why it tripped, in words; null: it has not. */
  get tripped(): string | null {
    return this.talk.tripped;
  }
  get stopOpen(): boolean {
    return this.talk.latest.stopOpen;
  }
  /** Who is alone on the bench; null: the whole prop, or nobody yet. */
  get aloneName(): string | null {
    return this.alone_?.joint.name ?? null;
  }
  /** What is asked of the joint that is alone, rad or mm; NaN: no joint is alone and awake. */
  get place(): number {
    return this.alone_ && this.isAwake ? this.asked : NaN;
  }
  /** The session's instant, us. */
  get now_us(): number {
    return this.talk.session.now_us;
  }
  private get isAwake(): boolean {
    return this.state === 'live' || this.state === 'holding';
  }

  joint(name: string): Joint {
    const found = this.rig.joints.find((joint) => joint.name === name);
    if (!found) throw new VerbEnded(`this rig has no joint ${name}`);
    return found;
  }

  /** Takes figures into the text. Throws VerbEnded, in words, where it would be no rig. */
  change(changes: readonly JointFigures[]): void {
    const after = changed(this.text, changes, this.options.files);
    if ('problem' in after)
      throw new VerbEnded(`nothing is written, since the rig would not be right: ${after.problem}`);
    this.now = after;
  }

  /** Whether the rig would be right with these figures. */
  mayChange(changes: readonly JointFigures[]): boolean {
    return !('problem' in changed(this.text, changes, this.options.files));
  }

  /** Writes what changed since `before`. @returns what keeps the old text; null: nothing changed. */
  keep(before: string): string | null {
    if (this.text === before) return null;
    return this.options.keep ? this.options.keep(before, this.text) : 'rig';
  }

  /** Back to a text, when what was written could not be kept. */
  restore(text: string): void {
    const now = rigOf(text, this.options.files);
    if (!('problem' in now)) this.now = now;
  }

  /**
   * A joint awake and alone, slow, within a span; where it is so already, nothing happens. Else the prop settles, the person is asked
   * to make ready, and the joint wakes at `wake_at`.
   */
  async alone(person: Person, joint: Joint, span: Span, wake_at: number, ready: string): Promise<void> {
    const key = JSON.stringify([joint.name, joint.centre_us, joint.sense, joint.us_per_unit, span, wake_at]);
    if (this.alone_?.key === key && this.isAwake) return;
    await this.toLimp();
    const rig = benchRig(this.rig, joint, span, wake_at);
    await this.talk.load(packImage(rig));
    await this.listen();
    [this.alone_, this.wholeImage] = [{ joint, key, span, pace: paceOf(rig.joints[0]!) }, null];
    this.values = new Float64Array(7);
    await this.ask(person, { id: 'rouse.ready', joint: joint.name, text: ready, unit: null });
    this.setAsked(wake_at);
    if (!(await this.talk.rouse())) throw new VerbEnded(this.lostWords());
    this.hear();
    await this.stand(person);
  }

  /** The whole prop awake at home, with its own rig, slow. */
  async whole(person: Person, ready: string): Promise<void> {
    const image = packImage(slow(this.rig));
    await this.toLimp();
    await this.talk.load(image);
    await this.listen();
    [this.alone_, this.wholeImage] = [null, image];
    const homes = this.rig.joints.filter(({ kind }) => kind !== 'leg').map(({ home }) => home);
    this.values = Float64Array.from([...HOME, ...homes]);
    await this.ask(person, { id: 'rouse.ready', joint: null, text: ready, unit: null });
    if (!(await this.talk.rouse())) throw new VerbEnded(this.lostWords());
    this.hear();
    await this.stand(person);
  }

  private setAsked(at: number): void {
    this.asked = at;
    this.values[6] = at;
  }

  /** One step of 20 ms, with its frame. Throws SettleAsked, VerbEnded, TargetError. */
  async step(person: Person): Promise<void> {
    if (person.settles()) throw new SettleAsked();
    const { talk } = this;
    if (this.isAwake) {
      const legs = this.wholeImage && this.rig.platform ? 6 : 0;
      talk.session.write(talk.send.pose(Math.round(talk.now_us), this.values, legs), talk.session.now_us);
    }
    await talk.session.advance(talk.session.now_us + STEP_US);
    if (this.options.inRealTime) await this.pause();
    // Signals are heard between two of these.
    else if (++this.steps % STEPS_A_SECOND === 0) await soon();
    if (talk.session.now_us - this.heard_us > SILENT_US)
      throw new TargetError(`${SUBJECT[this.target.proven]} no longer answers: is the cable in, has it power?`);
  }

  /** A step of a joint or a prop that must be awake. */
  private async stepAwake(person: Person): Promise<void> {
    await this.step(person);
    if (!this.isAwake) throw new VerbEnded(this.lostWords());
  }

  private lostWords(): string {
    if (this.tripped !== null) return `it tripped: ${this.tripped}; "clear" when its cause is gone`;
    return this.stopOpen ? 'the stop input is open: it settles' : `it is ${this.state}, and was to be awake`;
  }

  /** Stands for so many steps: a servo needs a moment after it was moved. */
  async stand(person: Person, steps = STAND_STEPS): Promise<void> {
    for (let n = 0; n < steps; n++) await this.stepAwake(person);
  }

  /**
   * The joint that is alone, to a place (rad or mm) at no more than its slow speed, and a moment of standing there.
   * @param until asked at every step: true ends the move there, braking. Resolves whether it did.
   * @param share of its slow speed.
   */
  async moveTo(person: Person, to: number, until: () => boolean = () => false, share = 1): Promise<boolean> {
    const alone = this.alone_;
    if (!alone) throw new VerbEnded('no joint is awake: rouse it first');
    const goal = Math.min(Math.max(to, alone.span.lo), alone.span.hi);
    let ended = false;
    for (const at of ramp(this.asked, goal, { ...alone.pace, speed: share * alone.pace.speed }, () => ended)) {
      this.setAsked(at);
      await this.stepAwake(person);
      if (!ended && until()) {
        ended = true;
        this.endedAt = this.talk.latest.position[0] ?? at;
      }
    }
    await this.stand(person);
    return ended || until();
  }

  /** For the length of a step, where the target has no clock of its own. */
  private async pause(): Promise<void> {
    const { proven } = this.target;
    if (proven === 'simulation' || proven === 'emulator') await (this.options.sleep ?? realSleep)(STEP_US / 1000);
  }

  /** Holds still until the promise is settled; what is at hand takes no time. */
  async holding<T>(person: Person, promise: Promise<T>): Promise<T> {
    let open = true;
    const ended = (): void => {
      open = false;
    };
    promise.then(ended, ended);
    await soon();
    while (open) {
      if (!this.options.inRealTime) await this.pause();
      await this.step(person);
      await soon();
    }
    return promise;
  }

  /** Asks, and resolves what was typed, unchecked. */
  ask(person: Person, question: Question): Promise<string> {
    return this.holding(person, person.ask(question));
  }

  /** Asks for a number until it is one that is allowed; at the third that is not, the verb ends. */
  async read(person: Person, question: Question, allowed: Allowed): Promise<number> {
    for (let tries = 1; ; tries++) {
      const answer = numberIn(await this.ask(person, question), question.unit, allowed);
      if (typeof answer === 'number') return answer;
      if (tries === TRIES) throw new VerbEnded(`${answer.problem}: that was the third answer that cannot be used`);
      person.say(`${answer.problem}.`);
    }
  }

  /** To the rest, and limp. */
  async settle(): Promise<void> {
    if (this.state === 'limp') return;
    if (!(await this.talk.settle())) throw new TargetError('the prop did NOT settle: cut its power');
  }

  private async toLimp(): Promise<void> {
    if (this.state === 'tripped') throw new VerbEnded(this.lostWords());
    await this.settle();
    if (this.state !== 'limp')
      throw new VerbEnded(
        'the prop rests with power on, and its joints cannot be moved alone: support it, and switch it off and on',
      );
  }

  /** Sends `stop` or `clear` as they are. Resolves the controller's result. */
  async command(type: typeof TYPE.stop | typeof TYPE.clear): Promise<number> {
    const result = await this.talk.ask(this.talk.send.command(type));
    if (type === TYPE.stop) await this.talk.until(() => this.state === 'limp' || this.talk.latest.resting, 30e6);
    else await this.talk.until(() => this.state !== 'tripped', 1e6);
    return result;
  }

  /** The joint's measured place by its pulse, deg or mm. */
  shownPlace(): number | null {
    const alone = this.alone_;
    const us = this.talk.latest.pulse_us[0] ?? 0;
    return alone && us > 0 ? toShown(alone.joint, positionAt(alone.joint, us)) : null;
  }

  /** Settles, leaves the controller with the prop's own rig (slow until all of it is walked), and closes. */
  async close(): Promise<void> {
    try {
      await this.settle();
      if (this.state === 'limp') await this.talk.load(packImage(slowed(this.rig)));
    } finally {
      await this.talk.session.close();
    }
  }

  /** Ends without a word to the target: it no longer answers. */
  async abandon(): Promise<void> {
    await this.talk.session.close();
  }
}
