/** The four questions of a maker, answered from the facts: can it get there, can it carry it, can you power it, will it be smooth? */
import { travelAlong, type PoseAxis } from '../physics/travel.ts';
import { canItGetThere, willItBeSmooth } from '../replay/verdict.ts';
import { HOME, POSE_KEYS, toDeg } from '../rig/rig.ts';
import type { Facts, JointFacts } from './facts.ts';
import type { WhyAnswer } from './result.ts';
import { ampere, percent, place, stallWords, torque } from './words.ts';

/** A supply with a tenth to spare is enough (common practice); one with less is just enough. */
const SPARE = 1.1;

function getThere({ rig, replay }: Facts): WhyAnswer {
  if (replay) {
    const { question, word, because } = canItGetThere(replay.answer);
    return { question, verdict: word, because };
  }
  const question = 'Can it get there?';
  if (!rig.platform)
    return {
      question,
      verdict: 'unknown',
      because: 'It has no platform; its joints go to their soft limits. A stream would tell.',
    };
  const travels = POSE_KEYS.map((key, k) => {
    const axis = k as PoseAxis;
    const [name = '', unit = ''] = key.split('_');
    const shown = (value: number): string => (k < 3 ? value : toDeg(value)).toFixed(0);
    return `${name} ${shown(-travelAlong(rig, HOME, axis, -1).by)} to ${shown(travelAlong(rig, HOME, axis, 1).by)} ${unit}`;
  });
  return {
    question,
    verdict: 'unknown',
    because: `From home it goes ${travels.join(', ')}, one at a time. A stream would tell whether that is enough.`,
  };
}

const heaviest = (joints: readonly JointFacts[]): JointFacts | null =>
  joints.reduce<JointFacts | null>((most, joint) => {
    const share = ({ hold, stall }: JointFacts): number => (stall ? Math.abs(hold) / stall : -1);
    return !most || share(joint) > share(most) ? joint : most;
  }, null);

const listed = (names: readonly string[]): string => names.join(', ').replace(/, ([^,]*)$/, ' and $1');

function carry({ joints, replay }: Facts): WhyAnswer {
  const question = 'Can it carry it?';
  const worst = heaviest(joints);
  if (!worst?.stall)
    return {
      question,
      verdict: 'unknown',
      because: 'No servo’s stall torque or force is known, so nothing can be said.',
    };
  const { joint, hold, holdAt, stall } = worst;
  const share = Math.abs(hold) / stall;
  const where = holdAt === null ? '' : ` at ${place(joint, holdAt)}`;
  const holds = `To hold, ${joint.name} needs ${torque(joint, hold)}${joint.gear_ratio === 1 ? '' : ' behind its gear'}${where}, ${percent(share)} of its ${stallWords(joint)}; for long, ${percent(joint.servo.continuous_use)} is to be spent at most (continuous_use).`;
  const hardest = replay?.answer.joints.reduce((most, j) =>
    (j.metal?.peak_use ?? 0) > (most.metal?.peak_use ?? 0) ? j : most,
  );
  const use = hardest?.metal?.peak_use ?? null;
  const moves =
    use === null || !hardest ? '' : ` Moving, ${hardest.name} is asked for ${percent(use)} of what its servo has.`;
  const hidden = joints.filter((one) => one.stall === null).map((one) => one.joint.name);
  const unsaid =
    hidden.length === 0 ? '' : ` Nothing can be said of ${listed(hidden)}: the servo’s figures are unknown.`;
  const because = `${holds}${moves}${unsaid}`;
  if (share > 1) return { question, verdict: 'no', because };
  // Those that are known to carry theirs say nothing for the others.
  if (hidden.length > 0) return { question, verdict: 'unknown', because };
  return { question, verdict: share > joint.servo.continuous_use || (use ?? 0) > 1 ? 'mostly' : 'yes', because };
}

function power({ rig, stalled_a, replay }: Facts): WhyAnswer {
  const question = 'Can you power it?';
  const has = rig.supply?.current_a ?? null;
  const peak = replay?.answer.metal?.peak_a ?? null;
  if (has === null || stalled_a === null) {
    const missing = has === null ? 'the supply’s current' : 'a servo’s stall current';
    return { question, verdict: 'unknown', because: `The rig file does not tell ${missing}.` };
  }
  const stream = peak === null ? '' : `, and this stream at most ${ampere(peak)}`;
  const because = `All servos stalled take ${ampere(stalled_a)}${stream}; the supply gives ${ampere(has)}.`;
  return {
    question,
    verdict: stalled_a * SPARE <= has ? 'yes' : stalled_a <= has || (peak ?? Infinity) * SPARE <= has ? 'mostly' : 'no',
    because,
  };
}

function smooth(facts: Facts): WhyAnswer {
  const question = 'Will it be smooth?';
  const { replay, joints } = facts;
  if (!replay) {
    const asked = joints.filter(({ raise }) => raise !== null && raise > 1).map(({ joint }) => joint.name);
    return asked.length === 0
      ? {
          question,
          verdict: 'unknown',
          because: joints.some(({ raise }) => raise === null)
            ? 'What its limits ask of some servos is not known, for want of their figures. A stream would tell more.'
            : 'Its limits ask for no more than its servos have. A stream would tell the rest.',
        }
      : {
          question,
          verdict: 'no',
          because: `The limits of ${asked.join(', ')} ask for more torque than there is at that speed.`,
        };
  }
  const { word, because } = willItBeSmooth(replay.answer);
  const short = replay.answer.joints.filter(({ metal }) => (metal?.saturated_ms ?? 0) > 0);
  if (short.length === 0) return { question, verdict: word, because };
  const times = short.map(({ name, metal }) => `${name} for ${metal!.saturated_ms.toFixed(0)} ms`);
  const ran = `On simulated metal ${short.length === 1 ? 'a servo runs' : 'servos run'} out of torque: ${times.join(', ')}.`;
  // That its commands are near to what was asked is no comfort when the metal does not follow them.
  return { question, verdict: 'no', because: word === 'yes' ? ran : `${ran} ${because}` };
}

export const answersOf = (facts: Facts): WhyAnswer[] => [getThere(facts), carry(facts), power(facts), smooth(facts)];
