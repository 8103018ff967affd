/**
 * What a prop follows, a hand or a take, as frames of the link in their time: in the page's simulation and on the server's line to a
 * board alike, so that both are told the same. It sends; it steps no clock.
 */
import { STATES, TYPE } from '../controller/messages.ts';
import type { Conversation } from '../replay/conversation.ts';
import { lookAhead_us } from '../rig/look-ahead.ts';
import { HOME, type Rig } from '../rig/rig.ts';
import { wobbleDelay_ms } from '../rig/wobble.ts';
import { type Frame, readStream, streamJoints } from '../stream/read.ts';
import { StoredStream } from '../stream/stored.ts';

/** Between two frames of a hand over a line, and two looks at a take. Where no line lies between: HAND_US. */
export const STEP_US = 20_000;
/**
 * The page has three views of time. Asked: the outline, drawn in the frame of the pointer's event. Delivered: the worker gets what is asked
 * before that frame's `run`, steps the controller to the frame's time, and answers after it. Drawn: the answer is in the picture of the
 * next frame, the second after the event. No line lies between page and worker, so that a hand needs neither the playback delay, which
 * bears jitter, nor the look-ahead, which knows a take's future: its frames go out every HAND_US, due with the next tick.
 * A pointer speaks once a drawn frame; GLIDE_US, a little more than that, makes one even motion of its steps. A take has the rig's own delay.
 */
export const HAND_US = 5_000;
const GLIDE_US = 20_000;
/** Standing still for so long before a take begins: what came before is over, in every filter. */
const STILL_US = 200_000;
/** Frames that may wait in the controller's queue, of its 64: some are under way already, and its clock may be behind. */
const QUEUED = 40;
/**
 * A take's frames are sent to a board so long before their turn, us, as far as its queue has room for them: for so long, and what of
 * the playback delay is not looked ahead of, the sender may stand still (a busy computer) before a frame is late.
 */
export const AHEAD_US = 500_000;
const LIVE = STATES.indexOf('live');

type Following =
  | { readonly kind: 'nothing' }
  | { readonly kind: 'hand'; readonly values: Float64Array; readonly glide: Glide | null }
  | { readonly kind: 'take'; readonly take: Playing };

/** On the way from what was sent to what the hand asks. */
interface Glide {
  readonly from: Float64Array;
  readonly begin_us: number;
}

/** A take that plays; `start_us` is the instant of its first frame, null while the prop goes there. */
interface Playing {
  readonly rows: readonly { readonly t_s: number; readonly values: Float64Array }[];
  readonly curve: StoredStream;
  next: number;
  start_us: number | null;
}

/**
 * How far a hand's frames are stamped back, us: each is due at the tick that gets it or, where ticks come between them, one frame later,
 * so that its slope is known. 1 us short of that, or the controller would have nothing newer to play, and hold.
 */
function handBack_us({ motion }: Rig): number {
  const lead_us = (motion.tick_hz * HAND_US > 1e6 ? 2 : 1) * HAND_US + 1;
  return motion.playback_delay_ms * 1000 - lookAhead_us(motion) - lead_us;
}

export class Follower {
  private following: Following = { kind: 'nothing' };
  private still_us = 0;
  private laidOver: Float64Array | null = null;
  private readonly rig: Rig;
  private readonly talk: Conversation;
  private readonly ahead_us: number;
  private readonly legs: number;
  private readonly delay_us: number;
  private readonly values: Float64Array;
  /** How far a hand's frames are stamped back, us; null: they wait as a take's do, as they must over a line. */
  private readonly back_us: number | null;
  /** The latest instant that a frame was stamped with, and its values. */
  private sent_us = -Infinity;
  private sent: Float64Array | null = null;

  /**
   * @param line what lies between: a take's frames may be sent `ahead_us` before their turn; null: nothing does, a hand is followed at once,
   * and a sender that can't stand still needs no frame ahead
   */
  constructor(rig: Rig, talk: Conversation, line: { readonly ahead_us: number } | null) {
    this.rig = rig;
    this.talk = talk;
    this.ahead_us = line?.ahead_us ?? 0;
    this.legs = rig.platform ? 6 : 0;
    this.delay_us = (rig.motion.playback_delay_ms + wobbleDelay_ms(rig)) * 1000;
    this.back_us = line ? null : handBack_us(rig);
    this.values = new Float64Array(HOME.length + streamJoints(rig).length);
  }

  get kind(): Following['kind'] {
    return this.following.kind;
  }

  /** A take's frames come out: it is no longer on the way to its first. */
  get isPlaying(): boolean {
    return this.following.kind === 'take' && this.following.take.start_us !== null;
  }

  homeValues(): Float64Array {
    return Float64Array.of(...HOME, ...this.rig.joints.slice(this.legs).map(({ home }) => home));
  }

  /** Follows these from now on: pose (mm, rad), then the joints but the legs (rad). */
  hand(values: Float64Array): void {
    this.breakOff();
    const glide = this.back_us !== null && this.sent ? { from: this.sent, begin_us: this.talk.now_us } : null;
    this.following = { kind: 'hand', values, glide };
  }

  /** Sends nothing from now on: to the guard this is silence. Of a take it plays what it has. */
  release(): void {
    this.following = { kind: 'nothing' };
  }

  /** What was sent ahead of a take would be played between the frames of what is followed next: the controller lets it go. */
  private breakOff(): void {
    if (this.ahead_us > 0 && this.isPlaying) this.write('pause');
  }

  private write(what: 'rouse' | 'settle' | 'stop' | 'pause' | 'clear'): void {
    this.talk.session.write(this.talk.send.command(TYPE[what]), this.talk.session.now_us);
  }

  /**
   * Plays a take that has been checked: from where it stands to its frame at from_s, and on once it stands there.
   * @param text a stream's
   */
  async play(text: string, from_s: number): Promise<void> {
    const curve = new StoredStream(streamJoints(this.rig).length);
    const all: Frame[] = [];
    for await (const { frames } of readStream([new TextEncoder().encode(text)], this.rig))
      for (const frame of frames) {
        curve.push(frame);
        if (frame.t_s >= from_s) all.push(frame);
      }
    if (all.length === 0) return;
    const rows = all.map(({ t_s, pose, joints }) => ({ t_s, values: Float64Array.of(...pose, ...joints) }));
    this.breakOff();
    this.still_us = 0;
    this.following = { kind: 'take', take: { rows, curve, next: 0, start_us: null } };
  }

  /** Lays a hand's values over the take that plays, from its next frame on; NaN: the take's own. Null: nothing any more. */
  over(values: Float64Array | null): void {
    this.laidOver = values;
  }

  /** Rouse, settle, stop, pause or clear: the guard's own commands. What was followed is let go. */
  command(what: 'rouse' | 'settle' | 'stop' | 'pause' | 'clear'): void {
    if (what === 'rouse') this.hand(this.homeValues());
    else this.release();
    this.write(what);
  }

  /** Sends what is due within a step. Returns true when a take has just ended: its last pose is held. */
  feed(): boolean {
    const { following } = this;
    if (following.kind === 'hand') this.sendHand(following.values, following.glide);
    return following.kind === 'take' && this.feedTake(following.take);
  }

  private feedTake(take: Playing): boolean {
    const { rows, start_us } = take;
    if (start_us === null) {
      this.send(this.talk.now_us, this.mixed(rows[0]!.values));
      return false;
    }
    // Before the first one came a frame with every step.
    const at_us = (n: number): number => start_us + (n < 0 ? n * STEP_US : (rows[n]!.t_s - rows[0]!.t_s) * 1e6);
    const { now_us, latest } = this.talk;
    const { motion } = this.rig;
    // What is looked ahead of has left the queue.
    const queue_us = motion.playback_delay_ms * 1000 - lookAhead_us(motion);
    for (let sent = 0; take.next < rows.length && latest.queued + sent < QUEUED; sent++) {
      // Two frames ahead of its own instant, as replay sends it: the slope of the one before needs it.
      if (at_us(Math.max(0, take.next - 2)) > now_us + this.ahead_us + STEP_US) return false;
      // What the controller tells of its queue is old by what is under way. By the clock, too, there must be room.
      if (this.ahead_us > 0 && at_us(take.next - QUEUED) > now_us - queue_us) return false;
      this.send(at_us(take.next), this.mixed(rows[take.next]!.values));
      take.next++;
    }
    if (now_us <= at_us(rows.length - 1)) return false;
    // The last frame is sent again until it has come out: silence would make the guard hold.
    this.send(now_us, this.mixed(rows.at(-1)!.values));
    if (now_us <= at_us(rows.length - 1) + this.delay_us + STEP_US) return false;
    this.following = { kind: 'hand', values: rows.at(-1)!.values, glide: null };
    return true;
  }

  private mixed(values: Float64Array): Float64Array {
    const { laidOver } = this;
    return laidOver ? values.map((value, k) => (Number.isNaN(laidOver[k] ?? NaN) ? value : laidOver[k]!)) : values;
  }

  private sendHand(values: Float64Array, glide: Glide | null): void {
    const { back_us, talk } = this;
    if (back_us === null) return this.send(talk.now_us, values);
    const at_us = talk.now_us - back_us;
    // What a take has sent ahead is played first: frames of both among each other would shake the prop.
    if (at_us <= this.sent_us) return;
    const share = glide ? Math.min(1, (talk.now_us + HAND_US - glide.begin_us) / GLIDE_US) : 1;
    const on = share < 1 ? values.map((to, k) => glide!.from[k]! + share * (to - glide!.from[k]!)) : values;
    this.send(at_us, on, true);
  }

  private send(at_us: number, values: Float64Array, atOnce = false): void {
    const { talk } = this;
    [this.sent_us, this.sent] = [at_us, values];
    talk.session.write(talk.send.pose(Math.round(at_us) >>> 0, values, this.legs, atOnce), talk.session.now_us);
  }

  /** A telemetry frame has come: a take begins when the prop stands at its first pose. */
  heard(): void {
    if (this.following.kind !== 'take' || this.following.take.start_us !== null) return;
    const { latest: t } = this.talk;
    const isStill = this.rig.joints.every((_, i) => t.rise[i] === 0 && t.fall[i] === 0);
    this.still_us = isStill && t.state === LIVE ? this.still_us + (t.ticks * 1e6) / this.rig.motion.tick_hz : 0;
    if (this.still_us > STILL_US + this.delay_us) this.following.take.start_us = this.talk.now_us + 2 * STEP_US;
  }

  /** Of the take that plays: the time that comes out now, s; null: none. */
  get take_s(): number | null {
    if (this.following.kind !== 'take') return null;
    const { take } = this.following;
    return take.start_us === null ? take.rows[0]!.t_s : this.timeAt_s(take, take.start_us, this.talk.now_us);
  }

  /** Of the take that plays: the time that the latest telemetry is of, s; null: none plays, or it is on its way to its first frame. */
  get told_s(): number | null {
    if (this.following.kind !== 'take' || this.following.take.start_us === null) return null;
    return this.timeAt_s(this.following.take, this.following.take.start_us, this.talk.controller_us);
  }

  private timeAt_s({ rows }: Playing, start_us: number, controller_us: number): number {
    const played_s = Math.max(0, controller_us - this.delay_us - start_us) / 1e6;
    return Math.min(rows.at(-1)!.t_s, rows[0]!.t_s + played_s);
  }

  /** What is asked now; null: nothing. A view that the next call changes. */
  asked(): Float64Array | null {
    if (this.following.kind === 'hand') return this.following.values;
    const { take_s } = this;
    if (this.following.kind === 'nothing' || take_s === null) return null;
    this.following.take.curve.evaluate(take_s, this.values);
    return this.mixed(this.values);
  }
}
