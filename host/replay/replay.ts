/**
 * Replays a stream on a target and measures what comes out: opens it, loads the rig, rouses it, plays the stream through
 * the modelled link, settles it. Memory stays flat however long the stream is.
 */
import { packImage } from '../controller/image.ts';
import type { Rig } from '../rig/rig.ts';
import { POSE_KEYS } from '../rig/rig.ts';
import { Interpolant } from '../stream/interpolate.ts';
import { type Frame, type StreamBatch, type StreamSource, readStream, streamJoints } from '../stream/read.ts';
import { Conversation, TargetError } from './conversation.ts';
import { type LinkOptions, createLink } from './link-model.ts';
import { type DeliveredSink, Measure, telemetryTicks } from './measure.ts';
import { TAIL_S } from './play-times.ts';
import type { Replay } from './result.ts';
import { SUBJECT, type Target } from './target.ts';
import type { Tolerance } from './tolerance.ts';

export interface ReplayOptions {
  readonly link: LinkOptions;
  readonly tolerance: Tolerance;
  /** The stream's name in the answer. */
  readonly name: string;
  /** Called now and then with the stream time reached, s. */
  readonly progress?: (at_s: number) => void;
  /** Runs the plant behind the controller: what the metal does. */
  readonly plant?: boolean;
  /** Receives what comes out, once in a telemetry frame; after the stream's end only while something still moves. */
  readonly delivered?: DeliveredSink;
  /** When it is aborted the stream ends there, the prop settles, and replay throws TargetError. */
  readonly signal?: AbortSignal;
  /** Asked before the rig is sent: why it is not for the board that answers with this number of its kind, in words; null: it is. */
  readonly misfit?: (board: number) => string | null;
  /** Told what does not spoil the replay and yet should be known, in words. */
  readonly warn?: (words: string) => void;
}

/** From home to the stream's first pose: long enough for any rig's slow speeds; then standing there. */
const APPROACH_S = 3;
const STANDING_S = 0.5;
/** Stretch of session time between two looks at the stream. */
const STEP_US = 20_000;
/** The controller's queue holds 64 frames; above so many nothing more is sent, since some are under way already. */
const CREDIT_FRAMES = 40;

/** Frames one after another, with one in hand. */
class FrameFeed {
  private batch: readonly Frame[] = [];
  private next = 0;
  private readonly batches: AsyncGenerator<StreamBatch, void>;

  private constructor(batches: AsyncGenerator<StreamBatch, void>) {
    this.batches = batches;
  }

  static async of(source: StreamSource, rig: Rig): Promise<FrameFeed> {
    const feed = new FrameFeed(readStream(source, rig));
    await feed.refill();
    return feed;
  }

  /** The frame in hand; undefined at the end. */
  peek(): Frame | undefined {
    return this.batch[this.next];
  }

  /** Takes the frame in hand. Resolve the promise, when there is one, before the next peek. */
  skip(): Promise<void> | undefined {
    this.next++;
    return this.next < this.batch.length ? undefined : this.refill();
  }

  private async refill(): Promise<void> {
    this.batch = [];
    this.next = 0;
    for (;;) {
      const next = await this.batches.next();
      if (next.done === true) return;
      if (next.value.frames.length === 0) continue;
      this.batch = next.value.frames;
      return;
    }
  }
}

/**
 * Runs the replay. The stream has been scanned before: it has no errors. Throws TargetError when the target cannot be used.
 */
export async function replay(rig: Rig, source: StreamSource, target: Target, options: ReplayOptions): Promise<Replay> {
  const feed = await FrameFeed.of(source, rig);
  const asked = new Interpolant(streamJoints(rig).length);
  const measure = new Measure(rig, asked, target, options.tolerance, options.plant, options.delivered);
  const talk = await Conversation.open(target, measure);
  try {
    const image = packImage(rig);
    const { board } = await talk.expect(image, target);
    const misfit = options.misfit?.(board) ?? null;
    if (misfit !== null) throw new TargetError(misfit);
    const stored = await talk.load(image);
    // What is emulated ends with the replay, whatever is in its flash.
    if (!stored && target.proven !== 'emulator')
      options.warn?.(`the flash of ${SUBJECT[target.proven]} did not take the rig: it is gone when the power goes`);
    await talk.report(telemetryTicks(rig.motion.tick_hz));
    const live = await talk.rouse();
    if (live) {
      await play(talk, feed, asked, measure, options);
      const settled = await talk.settle();
      if (options.signal?.aborted)
        throw new TargetError(
          settled ? 'stopped by you: the prop has settled' : 'stopped by you: the prop did NOT settle',
        );
    }
    measure.finish(talk);
  } finally {
    await talk.session.close();
  }
  return measure.result(options.name);
}

/** A frame on its way: values, and its instant in session microseconds. */
interface Outgoing {
  readonly at_us: number;
  readonly values: Float64Array;
}

/**
 * Plays the stream. A frame is sent two frames ahead of its own instant, when the interval that needs it for its slope
 * begins: what arrives within the playback delay of that changes nothing in the motion.
 */
async function play(talk: Conversation, feed: FrameFeed, asked: Interpolant, measure: Measure, options: ReplayOptions) {
  const { session } = talk;
  const first = feed.peek();
  if (!first) return;
  const link = createLink(options.link);
  // Instants are on the controller's clock; bytes leave by the session's.
  // The wobble cure is done with the approach after twice its delay.
  const standing_us = STANDING_S * 1e6 + Math.ceil((2 * measure.wobble_us) / STEP_US) * STEP_US;
  const start_us = talk.now_us + APPROACH_S * 1e6 + standing_us;
  const row = new Float64Array(POSE_KEYS.length + first.joints.length);
  /** Pose and joints in one row, which holds until the next call. */
  const values = (frame: Frame): Float64Array => {
    // Plain loops: the built-in copy of a plain array costs ten times as much.
    for (let k = 0; k < POSE_KEYS.length; k++) row[k] = frame.pose[k]!;
    for (let k = 0; k < frame.joints.length; k++) row[POSE_KEYS.length + k] = frame.joints[k]!;
    return row;
  };
  const send = (frame: Outgoing, sent_us: number): void => {
    const arrives_us = link(sent_us);
    const bytes = talk.send.pose(Math.round(frame.at_us), frame.values, measure.legs);
    measure.sent(talk.send.sequence, sent_us, arrives_us !== null);
    if (arrives_us !== null) session.write(bytes, arrives_us - talk.offset_us);
  };

  // From home to the first pose and a moment of standing there, sent ahead over a link without faults.
  const start = values(first).slice();
  const home = start.map((value, k) =>
    k < POSE_KEYS.length ? 0 : Number.isNaN(value) ? NaN : measure.homeOf(k - POSE_KEYS.length),
  );
  for (const [values_, before_us] of [
    [home, APPROACH_S * 1e6 + standing_us],
    [start, standing_us],
  ] as const)
    session.write(talk.send.pose(Math.round(start_us - before_us), values_, measure.legs), session.now_us);

  measure.times.begin(start_us - first.t_s * 1e6, first.t_s);
  const instant = (frame: Frame): number => start_us + (frame.t_s - first.t_s) * 1e6;
  const before = [start_us - standing_us, start_us - standing_us];
  let end_us = start_us;
  let reported_us = 0;
  for (;;) {
    for (let frame = feed.peek(); frame; frame = feed.peek()) {
      const sent_us = before[0] ?? 0;
      if (sent_us > talk.now_us + STEP_US || talk.latest.queued > CREDIT_FRAMES) break;
      asked.push(frame);
      measure.frames++;
      send({ at_us: instant(frame), values: values(frame) }, sent_us);
      end_us = instant(frame);
      before.shift();
      before.push(end_us);
      const refill = feed.skip();
      if (refill) await refill;
    }
    if (!feed.peek()) {
      asked.end();
      measure.times.end_us = end_us;
    }
    const step = session.advance(session.now_us + STEP_US);
    if (step) await step;
    const isOver = !feed.peek() && talk.now_us > end_us + measure.delay_us;
    if (options.signal?.aborted) return;
    if (talk.tripped !== null || talk.state === 'settling' || talk.state === 'limp') {
      // Once all is played it may settle by itself: a rig that holds only briefly does.
      if (!isOver) measure.times.halt();
      return;
    }
    if (options.progress && talk.now_us - reported_us > 1e6) {
      reported_us = talk.now_us;
      options.progress((talk.now_us - start_us) / 1e6);
    }
    if (isOver && talk.now_us > end_us + measure.delay_us + TAIL_S * 1e6) return;
  }
}
