/**
 * Replays a stream on a target and measures what comes out: opens it, loads the rig, rouses it, plays the stream through
 * the modelled link, settles it. Memory stays flat however long the stream is.
 */
import { packImage } from '../controller/image.ts';
import { slowWords, slowed } from '../controller/slowed.ts';
import type { Rig } from '../rig/rig.ts';
import { Interpolant } from '../stream/interpolate.ts';
import { type StreamSource, streamJoints } from '../stream/read.ts';
import { Conversation, TargetError } from './conversation.ts';
import { FrameFeed } from './frame-feed.ts';
import type { LinkOptions } from './link-model.ts';
import { type DeliveredSink, Measure, telemetryTicks } from './measure.ts';
import { Player } from './player.ts';
import type { Replay } from './result.ts';
import { SUBJECT, type Target } from './target.ts';
import type { Tolerance } from './tolerance.ts';

export interface ReplayOptions {
  readonly link: LinkOptions;
  readonly tolerance: Tolerance;
  /** The stream's name in the answer. */
  readonly name: string;
  /** Told when the stream begins: the session's instant of its time 0, us. */
  readonly began?: (zero_us: number) => void;
  /** Called now and then with the stream time reached, s. */
  readonly progress?: (at_s: number) => void;
  /** Runs the plant behind the controller: what the metal does. */
  readonly plant?: boolean;
  /** The target tells what the rig's responses make of what is asked: that is what the motion is measured against. */
  readonly responds?: boolean;
  /** Receives what comes out, once in a telemetry frame; after the stream's end only while something still moves. */
  readonly delivered?: DeliveredSink;
  /** When it is aborted the stream ends there, the prop settles, and replay throws TargetError. */
  readonly signal?: AbortSignal;
  /** Asked before the rig is sent: why it is not for the board that answers with this number of its kind, in words; null: it is. */
  readonly misfit?: (board: number) => string | null;
  /** Told what does not spoil the replay and yet should be known, in words. */
  readonly warn?: (words: string) => void;
}

/**
 * Runs the replay. The stream has been scanned before: it has no errors. Throws TargetError when the target cannot be used.
 */
export async function replay(
  given: Rig,
  source: StreamSource,
  target: Target,
  options: ReplayOptions,
): Promise<Replay> {
  const isReal = target.proven === 'hardware';
  const rig = isReal ? slowed(given) : given;
  const slow = isReal ? slowWords(given) : null;
  if (slow !== null) options.warn?.(slow);
  const feed = await FrameFeed.of(source, rig);
  const asked = new Interpolant(streamJoints(rig).length);
  const measure = new Measure(rig, asked, target, options);
  const talk = await Conversation.open(target, measure);
  try {
    const image = packImage(rig);
    const { board } = await talk.expect(image, target);
    const misfit = options.misfit?.(board) ?? null;
    if (misfit !== null) throw new TargetError(misfit);
    const stored = await talk.load(image);
    // What is emulated ends with the replay, whatever is in its flash.
    if (!stored && target.proven !== 'emulator')
      options.warn?.(`the flash of ${SUBJECT[target.proven]} did not store the rig: it is lost when the power goes`);
    await talk.report(telemetryTicks(rig.motion.tick_hz));
    const live = await talk.rouse(() => options.warn?.('it has a night, and warns for 5 s or more before it moves'));
    if (live) {
      await new Player(talk, feed, asked, measure, options).play();
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
