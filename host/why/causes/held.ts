/** The stream asks for more than the limits of the rig file allow: the joints are held back, whatever their servos could do. */
import { percent } from '../../load/words.ts';
import { SMOOTH_WITHIN, mostHeld, stutterWords } from '../../replay/verdict.ts';
import type { Answer, JointAnswer } from '../../replay/result.ts';
import { toShown } from '../../rig/rig.ts';
import { together } from '../../rig/words.ts';
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
  if (!(past > SMOOTH_WITHIN)) return falls;
  const goes = `goes ${past.toFixed(1)} ${unit} past everything asked of it`;
  return peak_error > past + SMOOTH_WITHIN ? `${goes} and ${falls}` : goes;
}

const offBy = ({ past, peak_error }: JointAnswer): number => Math.max(past, peak_error);

/** Joints named one by one; the rest is counted. */
const MOST_OTHERS = 4;

/** Those that their limits slow far enough to be seen, the furthest off first. */
const heldOff = ({ joints }: Answer): JointAnswer[] =>
  joints.filter((joint) => joint.limit_ticks > 0 && offBy(joint) > SMOOTH_WITHIN).sort((a, b) => offBy(b) - offBy(a));

/** Who else is held back, and how far off that leaves it; '' for nobody. */
function othersWords(others: readonly JointAnswer[]): string {
  if (others.length === 0) return '';
  const named = others.slice(0, MOST_OTHERS).map((joint) => `${joint.name} ${offWords(joint)}`);
  const more = others.length - named.length;
  return `; likewise ${together([...named, ...(more > 0 ? [`${String(more)} more`] : [])])}`;
}

export const beyondLimits: Look = (facts) => {
  if (!facts.replay) return null;
  const { answer } = facts.replay;
  const [off, ...others] = heldOff(answer);
  const held = off ?? mostHeld(answer)?.joint ?? null;
  const share = held ? held.limit_ticks / Math.max(1, answer.ticks) : 0;
  const seen = off !== undefined || (held !== null && stutterWords(answer) !== null);
  const because = held
    ? `${held.name} runs at its limits for ${percent(share)} of the stream and ${offWords(held)}${speedWords(facts, held.name)}${othersWords(others)}`
    : 'no joint reaches its limits in this stream';
  return {
    cause: 'beyond_limits',
    title: 'the stream asks for more than the limits allow',
    weight: seen ? 0.75 : 0.1,
    because,
    test: 'take some weight off and play it again: if it still falls behind, the limits are the cause; if it now follows, torque was',
    cure: '"posewright retime" slows the stream only where it asks for more; a motion.look_ahead_ms as long as the joint needs to brake keeps it from going past; or higher limits, where "posewright tune --faster" finds torque to spare',
    cost: 'those passages take longer',
    trial: null,
  };
};
