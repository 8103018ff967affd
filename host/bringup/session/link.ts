/** A bench's end of the link: what state the controller is in, why it is not awake, and how it comes to rest. */
import { TYPE } from '../../controller/messages.ts';
import { type Conversation, TargetError } from '../../replay/conversation.ts';
import { VerbEnded } from '../verb.ts';

/** Frames to the controller, and reports from it, a second. */
export const STEPS_A_SECOND = 50;

export abstract class BenchLink {
  protected readonly talk: Conversation;
  /** The session's instant at which telemetry came last, us. */
  protected heard_us = 0;

  protected constructor(talk: Conversation) {
    this.talk = talk;
  }

  protected hear(): void {
    this.heard_us = this.talk.session.now_us;
  }

  protected async listen(): Promise<void> {
    const { tick_hz } = await this.talk.who();
    await this.talk.report(Math.max(1, Math.round(tick_hz / STEPS_A_SECOND)));
    this.hear();
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
  /** The session's instant, us. */
  get now_us(): number {
    return this.talk.session.now_us;
  }
  protected get isAwake(): boolean {
    return this.state === 'live' || this.state === 'holding';
  }

  protected lostWords(): string {
    if (this.tripped !== null) return `it tripped: ${this.tripped}; "clear" when its cause is gone`;
    return this.stopOpen ? 'the stop input is open: it settles' : `it is ${this.state}, and was to be awake`;
  }

  /** To the rest, and limp. */
  async settle(): Promise<void> {
    if (this.state === 'limp') return;
    if (!(await this.talk.settle())) throw new TargetError('the prop did NOT settle: cut its power');
  }

  protected async toLimp(): Promise<void> {
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

  /** Ends without a word to the target: it no longer answers. */
  async abandon(): Promise<void> {
    await this.talk.session.close();
  }
}
