/** What tuning came to, in a maker's words: one for the command line and the page, so that they say the same. */
import { UNKNOWN } from '../rig/terms.ts';
import type { Told } from '../replay/verdict.ts';
import type { TuneAnswer, TunedJoint } from './result.ts';

const named = (joints: readonly TunedJoint[]): string => joints.map(({ name }) => name).join(', ');

/** Left alone, since figures of its servo or of what it moves are unknown. */
const unknownOf = (joints: readonly TunedJoint[]): readonly TunedJoint[] =>
  joints.filter(({ outcome }) => outcome === 'unknown');

/** The first line of the answer, without a stop. */
export function headline({ rig, joints, faster }: TuneAnswer): string {
  const tuned = joints.filter(({ outcome }) => outcome === 'tuned');
  const stuck = joints.filter(({ outcome }) => outcome === 'cannot_hold');
  if (stuck.length > 0) return `${rig}: no limits help ${named(stuck)}: the servo cannot carry the load`;
  const unknown = unknownOf(joints);
  const but = unknown.length > 0 ? `; unknown for ${named(unknown)}` : '';
  if (tuned.length === 0 && unknown.length === joints.length) return `${rig}: too little is known of any joint`;
  if (tuned.length === 0) return `${rig}: the limits are fine as they are${but}`;
  return `${rig}: ${faster ? 'what the servos can do' : 'limits the servos can keep'}, new for ${named(tuned)}${but}`;
}

/** Whether every servo keeps up with these limits, in a word and a sentence without its stop. */
export function inAll(answer: TuneAnswer): { readonly word: Told; readonly words: string } {
  const open = answer.joints.filter(
    ({ outcome, after }) => outcome === 'cannot_hold' || (after?.saturated_ms ?? 0) > 0,
  );
  if (answer.unsure !== null && open.length === 0)
    return { word: UNKNOWN, words: 'the simulation cannot tell: these limits are calculated only' };
  if (!answer.ok) return { word: 'no', words: `not fixed: ${named(open) || 'the platform'}` };
  const unknown = unknownOf(answer.joints);
  if (unknown.length === answer.joints.length)
    return { word: UNKNOWN, words: 'nothing could be tried: no joint has both its servo and its load known' };
  const but = unknown.length > 0 ? `; ${named(unknown)} could not be tried` : '';
  return {
    word: unknown.length > 0 ? 'mostly' : 'yes',
    words: `no servo runs out of torque with these limits, in simulation${but}`,
  };
}
