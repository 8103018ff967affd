/** The stream asks for more than the limits of the rig file allow: the joints are held back, whatever their servos could do. */
import { percent } from '../../load/words.ts';
import { SMOOTH_WITHIN, furthestBehind, furthestPast, mostHeld, stutterWords } from '../../replay/verdict.ts';
import type { JointAnswer } from '../../replay/result.ts';
import { toShown } from '../../rig/rig.ts';
import type { Facts } from '../facts.ts';
import { speed } from '../words.ts';
import type { Look } from './cause.ts';

/** How much faster than its limit the stream wants a joint; '' when it is not speed that holds it back. */
function speedWords({ joints }: Facts, name: string): string {
  const found = joints.find(({ joint }) => joint.name === name);
  const asked = found?.load?.along?.peak_speed ?? 0;
  return found && asked > toShown(found.joint, found.joint.speed)
    ? `: the stream asks for up to ${asked.toFixed(0)} ${found.joint.unit}/s, the limit is ${speed(found.joint, found.joint.speed)}`
    : '';
}

/** How far past or behind it comes. */
function offWords({ past, peak_error, unit }: JointAnswer): string {
  const falls = `falls ${peak_error.toFixed(1)} ${unit} behind`;
  return past > SMOOTH_WITHIN ? `goes ${past.toFixed(1)} ${unit} past everything asked` : falls;
}

export const beyondLimits: Look = (facts) => {
  if (!facts.replay) return null;
  const { answer } = facts.replay;
  const off = furthestPast(answer) ?? furthestBehind(answer);
  const held = off && off.limit_ticks > 0 ? off : (mostHeld(answer)?.joint ?? null);
  const share = held ? held.limit_ticks / Math.max(1, answer.ticks) : 0;
  const seen = held !== null && (held === off || stutterWords(answer) !== null);
  const because = held
    ? `the limits of ${held.name} hold it back for ${percent(share)} of the stream, and it ${offWords(held)}${speedWords(facts, held.name)}`
    : 'no joint’s limits hold it back in this stream';
  return {
    cause: 'beyond_limits',
    title: 'the stream asks for more than the limits allow',
    weight: seen ? 0.75 : 0.1,
    because,
    test: 'take some of the weight off and play it again: limits hold it back just the same, and a servo short of torque then follows',
    cure: '"posewright retime" slows the stream where it asks for more, and nowhere else; a motion.look_ahead_ms of its braking time keeps a joint from going past; or higher limits, where "posewright tune --faster" finds torque to spare',
    cost: 'the show takes longer there',
    trial: null,
  };
};
