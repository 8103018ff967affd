/**
 * Plays a stream to a controller that is live, in session time: from home to its first pose, every frame in its turn over the
 * modelled link, and on until what comes late has come.
 */
import { POSE_KEYS } from '../rig/rig.ts';
import type { Interpolant } from '../stream/interpolate.ts';
import type { Frame } from '../stream/read.ts';
import type { Conversation } from './conversation.ts';
import type { FrameFeed } from './frame-feed.ts';
import { type Link, type LinkOptions, createLink } from './link-model.ts';
import type { Measure } from './measure.ts';
import { TAIL_S } from './play-times.ts';

/** From home to the stream's first pose: long enough for any rig's slow speeds; then standing there. */
const APPROACH_S = 3;
const STANDING_S = 0.5;
/** Stretch of session time between two looks at the stream. */
const STEP_US = 20_000;
/** The controller's queue holds 64 frames; above so many nothing more is sent, since some are under way already. */
const CREDIT_FRAMES = 40;

export interface PlayOptions {
  readonly link: LinkOptions;
  /** Told when it begins: the session's instant of the stream's time 0, us. */
  readonly began?: (zero_us: number) => void;
  /** Called now and then with the stream time reached, s. */
  readonly progress?: (at_s: number) => void;
  /** When it is aborted the stream ends there. */
  readonly signal?: AbortSignal;
}

/** Instants are on the controller's clock, us; bytes leave by the session's. */
export class Player {
  private readonly talk: Conversation;
  private readonly feed: FrameFeed;
  private readonly asked: Interpolant;
  private readonly measure: Measure;
  private readonly options: PlayOptions;
  private readonly link: Link;
  /** Pose and joints of the frame in hand. */
  private readonly row: Float64Array;
  /** The first frame's instant, and its time in the stream. */
  private start_us = 0;
  private first_s = 0;
  /** Instants of the last frame sent, and of the one before it. */
  private end_us = 0;
  private before_us = 0;
  private reported_us = 0;
  /** Frames sent since the queue was last heard of. */
  private unheard = 0;

  constructor(talk: Conversation, feed: FrameFeed, asked: Interpolant, measure: Measure, options: PlayOptions) {
    this.talk = talk;
    this.feed = feed;
    this.asked = asked;
    this.measure = measure;
    this.options = options;
    this.link = createLink(options.link);
    this.row = new Float64Array(asked.size);
  }

  /** Returns when all is played, the controller has given up, or the signal is aborted. */
  async play(): Promise<void> {
    const { talk, feed, measure, options } = this;
    const first = feed.peek();
    if (!first) return;
    this.approach(first);
    for (;;) {
      this.unheard = 0;
      const sending = this.sendDue();
      if (sending) await sending;
      if (!feed.peek()) {
        this.asked.end();
        measure.times.end_us = this.end_us;
      }
      const step = talk.session.advance(talk.session.now_us + STEP_US);
      if (step) await step;
      await talk.listenAgain();
      // What is asked beyond the frames that were sent is not known.
      if (options.signal?.aborted) return measure.times.halt();
      const since_us = feed.peek() ? -Infinity : talk.now_us - this.end_us - measure.delay_us;
      if (talk.tripped !== null || talk.state === 'settling' || talk.state === 'limp') {
        // Once all is played it may settle by itself: a rig that holds only briefly does.
        if (!(since_us > 0)) measure.times.halt();
        return;
      }
      this.report();
      if (since_us > TAIL_S * 1e6) return;
    }
  }

  /** From home to the first pose and a moment of standing there, sent ahead over a link without faults. */
  private approach(first: Frame): void {
    const { talk, measure } = this;
    // The wobble cure is done with the approach after twice its delay.
    const standing_us = STANDING_S * 1e6 + Math.ceil((2 * measure.wobble_us) / STEP_US) * STEP_US;
    this.start_us = talk.now_us + APPROACH_S * 1e6 + standing_us;
    this.first_s = first.t_s;
    this.take(first);
    const start = this.row.slice();
    const home = start.map((value, k) =>
      k < POSE_KEYS.length ? 0 : Number.isNaN(value) ? NaN : measure.homeOf(k - POSE_KEYS.length),
    );
    for (const [values, before_us] of [
      [home, APPROACH_S * 1e6 + standing_us],
      [start, standing_us],
    ] as const) {
      const bytes = talk.send.pose(Math.round(this.start_us - before_us), values, measure.legs);
      talk.session.write(bytes, talk.session.now_us);
    }
    measure.times.begin(this.start_us - first.t_s * 1e6, first.t_s);
    this.options.began?.(this.start_us - first.t_s * 1e6 - talk.offset_us);
    this.end_us = this.start_us - standing_us;
    this.before_us = this.end_us;
  }

  /**
   * Sends the frames whose turn has come. A frame is sent two frames ahead of its own instant, when the interval that needs it
   * for its slope begins: what arrives within the playback delay of that changes nothing in the motion. Returns a promise only
   * where more of the stream must be read first: one at every step would cost a twentieth of the replay.
   */
  private sendDue(): Promise<void> | undefined {
    const { talk, feed, measure } = this;
    for (let frame = feed.peek(); frame; frame = feed.peek()) {
      const sent_us = this.before_us;
      if (sent_us > talk.now_us + STEP_US || talk.latest.queued + this.unheard > CREDIT_FRAMES) return undefined;
      this.unheard++;
      this.asked.push(frame);
      measure.frames++;
      this.before_us = this.end_us;
      this.end_us = this.start_us + (frame.t_s - this.first_s) * 1e6;
      this.take(frame);
      this.send(this.end_us, sent_us);
      const refill = feed.skip();
      if (refill) return refill.then(() => this.sendDue());
    }
    return undefined;
  }

  /** Into the row. Plain loops: the built-in copy of a plain array costs ten times as much. */
  private take({ pose, joints }: Frame): void {
    const { row } = this;
    for (let k = 0; k < POSE_KEYS.length; k++) row[k] = pose[k]!;
    for (let k = 0; k < joints.length; k++) row[POSE_KEYS.length + k] = joints[k]!;
  }

  private send(at_us: number, sent_us: number): void {
    const { talk, measure } = this;
    const arrives_us = this.link(sent_us);
    const bytes = talk.send.pose(Math.round(at_us), this.row, measure.legs);
    measure.sent(talk.send.sequence, sent_us, arrives_us !== null);
    if (arrives_us !== null) talk.session.write(bytes, arrives_us - talk.offset_us);
  }

  /** Once in a second. */
  private report(): void {
    const { now_us } = this.talk;
    if (!this.options.progress || now_us - this.reported_us <= 1e6) return;
    this.reported_us = now_us;
    this.options.progress((now_us - this.start_us) / 1e6);
  }
}
