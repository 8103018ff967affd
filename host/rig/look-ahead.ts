/**
 * How far the controller looks ahead: the part of the playback delay for which it knows what will be asked, so that no joint
 * goes past it. Says in words what does not fit, and what a recorded show would want.
 */
import type { Say } from './problem.ts';
import type { Joint, Motion, Rig } from './rig.ts';
import { short, together, counted } from './words.ts';
import { slowerTicks } from './slower-ticks.ts';

/** Targets that the controller keeps, of the pose's six components and of every joint together. */
const PLACES = 1024;
const POSE_COLUMNS = 6;
/** What a rig gets that does not say: as much again is left for jitter. */
const DEFAULT_MS = 60;
/** Less jitter than this is hardly any line's: a frame of 50 a second (ours). */
const LEAST_SLACK_MS = 20;
/** The controller plans braking with this share of plus and minus (assembly/track.ts). */
const PLANNED = 0.998;
/** Of a tick: 60 ms at 200 ticks a second are 12 ticks, whatever binary fractions make of it. */
const ROUNDING = 1e-6;

type Timing = Pick<Motion, 'tick_hz' | 'look_ahead_ms'>;

/** Whole ticks of look-ahead; 0: none. */
export const lookAheadTicks = ({ tick_hz, look_ahead_ms }: Timing): number =>
  Math.floor((look_ahead_ms * tick_hz) / 1000 + ROUNDING);

/** Those ticks in us: what the look-ahead takes of the playback delay. */
export const lookAhead_us = (motion: Timing): number => (lookAheadTicks(motion) * 1e6) / motion.tick_hz;

/** Most ticks that the controller can look ahead with so many joints. */
const mostTicks = (joints: number): number => Math.floor(PLACES / (joints + POSE_COLUMNS));

/** Most ms of look-ahead at so many ticks a second, rounded down to a tenth. */
const most_ms = (tick_hz: number, joints: number): number => Math.floor((mostTicks(joints) * 10_000) / tick_hz) / 10;

/** The look-ahead of a rig that gives none, ms: half of a short delay, and no more than the controller can keep. */
export const defaultLookAhead_ms = (motion: Pick<Motion, 'tick_hz' | 'playback_delay_ms'>, joints: number): number =>
  Math.min(DEFAULT_MS, motion.playback_delay_ms / 2, most_ms(motion.tick_hz, joints));

/** Seconds that a joint takes to stop from its top speed, either way; it never reaches a speed at which its acceleration is gone. */
export const braking_s = ({ speed, plus, minus, plus_gone, minus_gone }: Joint): number =>
  Math.max(Math.min(speed, plus_gone) / minus, Math.min(speed, minus_gone) / plus);

/** Ticks of look-ahead with which a joint goes past nothing: its braking time and one tick. */
export const ticksToStop = (joint: Joint, tick_hz: number): number =>
  Math.floor((braking_s(joint) * tick_hz) / PLANNED + ROUNDING) + 1;

/** Refuses a look-ahead that is longer than the delay, or than the controller can keep. */
export function checkLookAhead({ motion, joints }: Pick<Rig, 'motion' | 'joints'>, say: Say): void {
  const { look_ahead_ms, playback_delay_ms, tick_hz } = motion;
  const path = ['motion', 'look_ahead_ms'];
  if (look_ahead_ms > playback_delay_ms) {
    say.error(
      path,
      `found ${short(look_ahead_ms)} ms; allowed: up to playback_delay_ms, ${short(playback_delay_ms)} ms, of which it is a part`,
    );
  } else if (lookAheadTicks(motion) > mostTicks(joints.length)) {
    const slower = slowerTicks(joints, tick_hz, (slower_hz) => {
      return lookAheadTicks({ tick_hz: slower_hz, look_ahead_ms }) <= mostTicks(joints.length);
    });
    const or = slower === null ? '' : `; or tick_hz: ${String(slower)}`;
    say.error(
      path,
      `found ${short(look_ahead_ms)} ms: at ${String(tick_hz)} ticks a second the controller cannot keep so many targets for the pose and ${counted(joints.length, 'joint')}; allowed: up to ${short(most_ms(tick_hz, joints.length))} ms${or}`,
    );
  }
}

/** Says which joints cannot stop within the look-ahead, and what to set where the show is recorded. */
export function adviseLookAhead({ motion, joints }: Pick<Rig, 'motion' | 'joints'>, say: Say): void {
  const { tick_hz, playback_delay_ms } = motion;
  const now_ms = lookAhead_us(motion) / 1000;
  adviseSlack(motion, say);
  const slow = joints.filter((joint) => ticksToStop(joint, tick_hz) > lookAheadTicks(motion));
  if (slow.length === 0) return;
  const longest_ms = 1000 * Math.max(...slow.map(braking_s));
  const it = slow.length === 1 ? 'it goes' : 'they go';
  const takes = slow.length === 1 ? 'takes' : 'take up to';
  const ticks = Math.max(...slow.map((joint) => ticksToStop(joint, tick_hz)));
  const set_ms = Math.min(Math.ceil((ticks * 1000) / tick_hz), most_ms(tick_hz, joints.length));
  const fits = ticks <= mostTicks(joints.length);
  const spare_ms = Math.max(LEAST_SLACK_MS, playback_delay_ms - motion.look_ahead_ms);
  const most = fits ? '' : `, the most that fits at ${String(tick_hz)} ticks a second`;
  say.warning(
    ['motion', 'look_ahead_ms'],
    `the controller looks ${short(now_ms)} ms ahead, and ${shortNames(slow)} ${takes} ${short(longest_ms, 0)} ms and a tick to stop from full speed: where a stream asks for more than the limits, ${it} past what is asked. For a recorded show set look_ahead_ms: ${short(set_ms)} and playback_delay_ms: ${short(Math.ceil(set_ms + spare_ms))}${most}; live, a short delay may be worth more`,
  );
}

/** A delay that the look-ahead takes whole leaves nothing for frames that come late. */
function adviseSlack(motion: Motion, say: Say): void {
  const slack_ms = motion.playback_delay_ms - lookAhead_us(motion) / 1000;
  if (motion.look_ahead_ms === 0 || slack_ms >= LEAST_SLACK_MS) return;
  say.warning(
    ['motion', 'playback_delay_ms'],
    `found ${short(motion.playback_delay_ms)} ms, of which ${short(lookAhead_us(motion) / 1000)} ms look ahead: ${short(slack_ms)} ms are left for frames that come late, and ${short(LEAST_SLACK_MS)} ms or more are usual`,
  );
}

/** All six legs are told together. */
function shortNames(joints: readonly Joint[]): string {
  const legs = joints.filter(({ kind }) => kind === 'leg').map(({ name }) => name);
  const others = joints.filter(({ kind }) => kind !== 'leg').map(({ name }) => name);
  return together([...(legs.length === 6 ? ['the legs'] : legs), ...others]);
}
