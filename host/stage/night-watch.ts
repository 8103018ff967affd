/** What the night on a board does, asked now and then beside all else: with one in force the board warns before it moves, and may play alone. */
import { TYPE } from '../controller/messages.ts';
import { type NightState, parseNightEntry } from '../controller/night-messages.ts';
import type { Conversation } from '../replay/conversation.ts';
import { entryOf } from '../shows/send.ts';

/** So often it is asked, us. */
const ASK_US = 200_000;

export class NightWatch {
  state: NightState;
  private readonly talk: Conversation;
  private readonly warn_us: number;
  private asked_us = -Infinity;
  private seen: DataView | null = null;
  /** When it was first seen to warn, on the session's clock, us. */
  private warns_us = 0;

  private constructor(talk: Conversation, warn_us: number, state: NightState) {
    this.talk = talk;
    this.warn_us = warn_us;
    this.state = state;
  }

  /**
   * @param warn_s how long the night's rig file has it warn
   * @returns null: the board has no night for its rig. Throws TargetError when nothing answers.
   */
  static async of(talk: Conversation, warn_s: number): Promise<NightWatch | null> {
    const entry = await entryOf(talk, 0);
    return typeof entry === 'number' ? null : new NightWatch(talk, warn_s * 1e6, entry.night);
  }

  /** Takes what has been answered, and asks again when it is time. Waits for nothing. */
  look(): void {
    const { talk } = this;
    const { now_us } = talk.session;
    const told = talk.told(TYPE.nightEntry);
    const entry = told && told !== this.seen ? parseNightEntry(told) : null;
    this.seen = told;
    if (entry?.night === 'warning' && this.state !== 'warning') this.warns_us = now_us;
    this.state = entry?.night ?? this.state;
    if (now_us - this.asked_us < ASK_US) return;
    this.asked_us = now_us;
    talk.session.write(talk.send.nightList(0), now_us);
  }

  /** How long light and sound still warn before it moves, s; 0: it moves as soon as its flash is written. Null: it does not warn. */
  get moves_in_s(): number | null {
    if (this.state !== 'warning') return null;
    return Math.max(0, this.warn_us - (this.talk.session.now_us - this.warns_us)) / 1e6;
  }
}
