/**
 * The bench of a bring-up: one conversation with a controller that has either one joint alone (bench-rig.ts) or the whole prop, slow.
 * It keeps the frames coming, 50 a second, while a joint moves and while a question waits; if this program dies, the guard holds and
 * then settles. Knows no verb.
 */
import { packImage } from '../../controller/image.ts';
import { slow, slowed } from '../../controller/slowed.ts';
import { Conversation, TargetError } from '../../replay/conversation.ts';
import { SUBJECT, type Target } from '../../replay/target.ts';
import { positionAt } from '../../rig/pulse.ts';
import { HOME, type Joint, type Pose, type Rig, toShown } from '../../rig/rig.ts';
import { type Span, benchRig, paceOf } from '../bench-rig.ts';
import { type Person, type Question, SettleAsked } from '../person.ts';
import { VerbEnded } from '../verb.ts';
import { type Allowed, numberIn } from './answers.ts';
import { BenchLink, STEPS_A_SECOND } from './link.ts';
import type { BenchFiles, BenchOptions } from './options.ts';
import { plateWay } from './plate-way.ts';
import { type Pace, ramp } from './ramp.ts';
import { RigDraft } from './rig-text.ts';

const STEP_US = 20_000;
/** A board that says nothing for so long is not there. */
const SILENT_US = 1_000_000;
/** Until a servo stands after a move (common practice). */
const STAND_STEPS = 25;
const TRIES = 3;
/** Longer than the slowest filter of a rig takes to come to rest. */
const STILL_STEPS = 500;

/** What is said before the whole prop wakes. */
export const WHOLE_READY =
  'Place the prop on its rest, hands clear: each servo jumps to its place at its own full speed, one after another, then all go home slowly. Then press Enter.';

const realSleep = (ms: number): Promise<void> => new Promise((wake) => setTimeout(wake, ms));
/** After what is at hand already. */
const soon = (): Promise<void> => new Promise((wake) => setImmediate(wake));

const sameBytes = (a: Uint8Array, b: Uint8Array): boolean => Buffer.compare(a, b) === 0;

interface Alone {
  readonly joint: Joint;
  readonly key: string;
  readonly span: Span;
  readonly pace: Pace;
}

export class Bench extends BenchLink {
  readonly target: Target;
  private readonly options: BenchOptions;
  /** The rig file as it is to be now. */
  readonly draft: RigDraft;
  /** What the controller has: a joint alone; the whole; null: whatever it had. */
  private alone_: Alone | null = null;
  private wholeImage: Uint8Array | null = null;
  /** What is asked of the joint that is alone, rad or mm. */
  private asked = NaN;
  /** Where it stood when a move was ended on its way, rad or mm. */
  endedAt = NaN;
  private steps = 0;
  private values = new Float64Array(7);

  private constructor(talk: Conversation, options: BenchOptions, draft: RigDraft) {
    super(talk);
    this.target = options.target;
    this.options = options;
    this.draft = draft;
  }

  /** Opens the target. Throws TargetError where nothing answers, or the rig is not for it. */
  static async open(options: BenchOptions): Promise<Bench> {
    const draft = RigDraft.of(options.text, options.keep, options.named);
    if ('problem' in draft) throw new TargetError(draft.problem);
    let bench: Bench | null = null;
    const talk = await Conversation.open(options.target, { telemetry: () => bench?.hear() });
    bench = new Bench(talk, options, draft);
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

  get rig(): Rig {
    return this.draft.rig;
  }
  get text(): string {
    return this.draft.text;
  }
  get files(): BenchFiles | null {
    return this.options.files ?? null;
  }
  /** Who is alone on the bench; null: the whole prop, or nobody yet. */
  get aloneName(): string | null {
    return this.alone_?.joint.name ?? null;
  }
  /** What is asked of the joint that is alone, rad or mm; NaN: no joint is alone and awake. */
  get place(): number {
    return this.alone_ && this.isAwake ? this.asked : NaN;
  }
  joint(name: string): Joint {
    const found = this.rig.joints.find((joint) => joint.name === name);
    if (!found) throw new VerbEnded(`this rig has no joint ${name}`);
    return found;
  }

  /**
   * A joint awake and alone, slow, within a span; where it is so already, made ready in the same words, nothing happens. Else the prop
   * settles, the person is asked to make ready (such as to take its rods off), and the joint wakes at `wake_at`.
   */
  async alone(person: Person, joint: Joint, span: Span, wake_at: number, ready: string): Promise<void> {
    const key = JSON.stringify([joint.name, joint.centre_us, joint.sense, joint.us_per_unit, wake_at, ready]);
    if (this.alone_?.key === key && this.isAwake && this.narrowedTo(this.alone_, span)) return;
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

  /** Whether the joint that is alone may go on within this span: it is no wider than the present one, and the joint stands in it. */
  private narrowedTo(alone: Alone, span: Span): boolean {
    const isWithin = span.lo >= alone.span.lo && span.hi <= alone.span.hi;
    if (!isWithin || !(this.asked >= span.lo && this.asked <= span.hi)) return false;
    this.alone_ = { ...alone, span };
    return true;
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

  /**
   * The plate of the whole prop to a pose, slowly, over poses that it reaches, and until its pulses stand; it wakes the prop where it is
   * not awake. Resolves the pulses that leg1 … leg6 have then, µs. Throws as `step` does.
   */
  async pose(person: Person, { pose }: { readonly pose: Pose }): Promise<readonly number[]> {
    const isWhole = this.wholeImage !== null && this.isAwake && sameBytes(this.wholeImage, packImage(slow(this.rig)));
    if (!isWhole) await this.whole(person, WHOLE_READY);
    for (const on of plateWay(slow(this.rig), this.values.slice(0, 6), pose)) {
      this.values.set(on);
      await this.stepAwake(person);
    }
    await this.untilStill(person);
    return [...this.talk.latest.pulse_us.slice(0, 6)];
  }

  /** Steps until no pulse has changed for the time that a servo needs to stand. */
  private async untilStill(person: Person): Promise<void> {
    const pulses = (): string => this.talk.latest.pulse_us.join();
    let [last, same] = [pulses(), 0];
    for (let n = 0; same < STAND_STEPS; n++) {
      if (n === STILL_STEPS) throw new VerbEnded('the pulses do not come to rest: it was to stand at a pose');
      await this.stepAwake(person);
      same = pulses() === last ? same + 1 : 0;
      last = pulses();
    }
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
    const look = (): void => {
      if (ended || !until()) return;
      ended = true;
      this.endedAt = this.talk.latest.position[0] ?? this.asked;
    };
    for (const at of ramp(this.asked, goal, { ...alone.pace, speed: share * alone.pace.speed }, () => ended)) {
      this.setAsked(at);
      await this.stepAwake(person);
      look();
    }
    await this.stand(person);
    // Said while it stood there already.
    look();
    return ended;
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
}
