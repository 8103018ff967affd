/** What is wrong with a stream rather than with the prop: its frames are too few, late or far apart, or its poses out of reach. */
import { percent } from '../../load/words.ts';
import { beyondWords } from '../../physics/dynamics/beyond.ts';
import { causeWords } from '../../replay/verdict.ts';
import { shakingWords } from '../../replay/words.ts';
import type { StreamFacts } from '../facts.ts';
import { seconds } from '../words.ts';
import { type Look, type Suspect, most } from './cause.ts';

/** Slower than this a stream is seen as steps (common practice: film has 24 a second). */
const COARSE_FPS = 25;

/** Slower still it is no recording but key poses, and the way between them is smooth (ours). */
const KEYS_FPS = 2;
const isKeys = (stream: StreamFacts | null): boolean => stream?.fps != null && stream.fps < KEYS_FPS;

const rateWords = ({ fps }: StreamFacts): string =>
  fps === null
    ? 'the stream is a single frame'
    : `the stream has ${fps < 9.95 ? fps.toFixed(1) : fps.toFixed(0)} frames a second`;

/** The longest time without a frame; '' when none stands out. */
function pauseWords({ pauses: [first, ...others] }: StreamFacts): string {
  if (!first) return '';
  const more = others.length === 0 ? '' : ` and ${String(others.length)} more`;
  return `, with a pause from ${seconds(first.from_s)} to ${seconds(first.to_s)}${more}`;
}

export const coarseStream: Look = ({ stream, replay }) => {
  const answer = replay?.answer;
  const missing = answer ? answer.starved + answer.late + answer.lost : 0;
  const coarse = stream?.fps != null && stream.fps < COARSE_FPS && !isKeys(stream);
  const pauses = (stream?.pauses.length ?? 0) > 0;
  const late = missing > 0 ? `, and ${String(missing)} ticks or frames were late or missing` : ', none late';
  return {
    cause: 'coarse_stream',
    title: 'frames too few or late',
    weight: coarse ? 0.9 : missing > 0 ? 0.7 : stream === null ? 0.3 : pauses ? 0.4 : 0.05,
    because:
      stream === null
        ? 'no stream was given, so nothing is known about its frames'
        : `${rateWords(stream)}${isKeys(stream) ? ', which are key poses with smooth moves between them' : ''}${pauseWords(stream)}${late}`,
    test: 'play it from a file instead of live: steps that remain are in the recording',
    cure: `${pauses ? 'record the missing piece again, or set its clock right; ' : ''}record at 50 frames a second or more; a longer playback_delay_ms, without a longer look_ahead_ms, for a poor line`,
    cost: 'a larger file; a longer delay between puppeteer and prop',
    trial: null,
  };
};

/** Noise of a recording; null: the stream has none. */
export const shakingStream: Look = ({ stream, replay }) => {
  if (!stream || stream.shaking.length === 0) return null;
  const isHeld = replay?.answer.joints.some(({ limit_ticks }) => limit_ticks > 0) ?? false;
  return {
    cause: 'shaking_stream',
    title: 'the recording shakes from frame to frame',
    weight: isHeld ? 0.85 : 0.3,
    because: `${shakingWords(stream.shaking)}${isHeld ? ', and that drives the joints into their limits' : ''}`,
    test: 'play it smoothed: shaking that remains comes from the prop',
    cure: '"posewright retime --smooth" runs a low-pass filter without delay over it (at 6 Hz unless you choose another)',
    cost: 'quick moves lose a little of their size; retime prints how much',
    trial: null,
  };
};

export const reachOrRodEnds: Look = (facts) => {
  const { replay, rig } = facts;
  const answer = replay?.answer;
  const beyond = answer?.beyond ?? [];
  const legs = (answer?.stopped_by ?? []).filter(({ joint }) => !beyond.some((one) => one.joint === joint));
  const ends = answer?.breaches.find(({ what }) => what === 'rod_end');
  if (beyond.length > 0 && legs.length === 0 && !ends) return askedBeyond(beyondWords(beyond));
  if (!rig.platform) return softLimits(facts);
  const share = answer?.out_of_reach ?? 0;
  const [stop] = [...legs].sort((a, b) => b.frames - a.frames);
  const because =
    share > 0
      ? `for ${percent(share)} of the stream the pose is out of reach${stop ? `, most often for ${stop.joint}: ${causeWords(stop.cause)}` : ''}${beyond.length > 0 ? `; and ${beyondWords(beyond)}` : ''}`
      : ends
        ? ends.message.replace(/\.$/, '')
        : answer
          ? 'every pose of the stream is in reach'
          : 'no stream was given; "posewright reach" says how far the platform travels and what stops it';
  return {
    cause: 'reach_or_rod_ends',
    title: 'the pose is out of reach',
    weight: share > 0 ? 0.9 : ends ? 0.7 : answer ? 0.05 : 0.25,
    because,
    test: 'go to the pose slowly: if it still stops short, reach is the cause; if it gets there, torque is',
    cure: 'fit the stream ("posewright retime --fit"), or change the dimension that "posewright reach --sensitivity" names',
    cost: 'smaller moves, or a new part',
    trial: null,
  };
};

/** No pose, but a joint that is asked to go too far. */
const askedBeyond = (because: string): Suspect => ({
  cause: 'reach_or_rod_ends',
  title: 'a soft limit stops it',
  weight: 0.9,
  because,
  test: 'go there slowly: if it stops at the same place however slow, the soft limit is the cause; if it gets there, torque is',
  cure: 'fit the stream ("posewright retime --fit"), or a wider limit_deg, as far as the mechanism and range_us allow',
  cost: 'smaller moves, or a careful test with your hand on the power switch',
  trial: null,
});

/** Without a platform: the soft limits of the joints are all that ends a way. */
const softLimits: Look = (facts) => {
  const { replay } = facts;
  const behind =
    replay && most(facts, ({ joint }) => replay.answer.joints.find(({ name }) => name === joint.name)?.peak_error);
  return {
    cause: 'reach_or_rod_ends',
    title: 'a soft limit stops it',
    weight: 0.3,
    because: behind
      ? `without a platform only limit_deg stops a joint; ${behind.joint.name} is furthest from what was asked`
      : 'without a platform only limit_deg stops a joint',
    test: 'move it there by hand with the power off: if it moves further freely, the soft limit is what stops it',
    cure: 'a wider limit_deg, as far as the mechanism and range_us allow; or smaller moves in the stream',
    cost: 'a careful test with your hand on the power switch',
    trial: null,
  };
};
