/**
 * The four questions of a maker, answered from the facts: can it get there, can it carry it, can you power it, will it be smooth?
 * The second and third are `load`'s, in its words.
 */
import { carryWords, effortName, percent, powerWords } from '../load/words.ts';
import { type PoseAxis, travelAlong } from '../physics/kinematics/travel.ts';
import { type Told, canItGetThere, stutterWords, willItBeSmooth } from '../replay/verdict.ts';
import { HOME, POSE_KEYS, toDeg } from '../rig/rig.ts';
import { together } from '../rig/words.ts';
import type { Answer, Replay } from '../replay/result.ts';
import type { Facts as AllFacts } from './facts.ts';
import type { WhyAnswer } from './result.ts';
import { sentence, speed } from './words.ts';

/** What the questions are answered from. */
type Facts = Pick<AllFacts, 'rig' | 'joints' | 'load'> & { readonly replay: Pick<Replay, 'answer'> | null };

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
      because: 'It has no platform; its joints go to their soft limits. Add a stream to see whether that is enough.',
    };
  const travels = POSE_KEYS.map((key, k) => {
    const axis = k as PoseAxis;
    const [name = '', unit = ''] = key.split('_');
    const shown = (value: number): string => (k < 3 ? value : toDeg(value)).toFixed(0).replace(/^-0$/, '0');
    return `${name} ${shown(-travelAlong(rig, HOME, axis, -1).by)} to ${shown(travelAlong(rig, HOME, axis, 1).by)} ${unit}`;
  });
  return {
    question,
    verdict: 'unknown',
    because: `From home it goes ${travels.join(', ')}, one at a time. Add a stream to see whether that is enough.`,
  };
}

/** `load`'s answer as one of these. */
const loadAnswer = (
  { rig }: Facts,
  question: string,
  { verdict, because }: { readonly verdict: Told; readonly because: string },
): WhyAnswer => ({
  question,
  verdict,
  because: sentence(
    because,
    rig.joints.map(({ name }) => name),
  ),
});

function carry(facts: Facts): WhyAnswer {
  const { load } = facts;
  const told =
    'refused' in load
      ? ({ verdict: 'no', because: `it cannot stand at home (${load.refused})` } as const)
      : carryWords(load);
  return loadAnswer(facts, 'Can it carry it?', told);
}

function power(facts: Facts): WhyAnswer {
  const { load } = facts;
  const told =
    'refused' in load
      ? ({ verdict: 'unknown', because: 'what it draws is unknown, since it cannot stand at home' } as const)
      : powerWords(load);
  return loadAnswer(facts, 'Can you power it?', told);
}

/** By its limits alone. */
function smoothWithout({ joints }: Facts): Omit<WhyAnswer, 'question'> {
  const asked = joints.filter(({ asks }) => asks !== null && asks.use > 1);
  const hardest = asked.reduce<(typeof asked)[number] | null>(
    (most, one) => (!most || one.asks!.use > most.asks!.use ? one : most),
    null,
  );
  if (hardest) {
    const { joint, asks } = hardest;
    const others = asked.filter((one) => one !== hardest).map((one) => one.joint.name);
    const more = others.length === 0 ? '' : `; likewise ${together(others)}`;
    const what =
      asks!.use === Infinity
        ? `a speed at which its servo has no ${effortName(joint)} left (${speed(joint, asks!.speed)})`
        : `${percent(asks!.use)} of the ${effortName(joint)} its servo has at ${speed(joint, asks!.speed)}`;
    return { verdict: 'no', because: `The limits of ${joint.name} ask for ${what}${more}. A stream may ask for less.` };
  }
  return {
    verdict: 'unknown',
    because: joints.some(({ asks }) => asks === null)
      ? 'What its limits ask of some servos is unknown, since figures are missing. A stream would tell more.'
      : joints.some(({ isPartlyWeighed }) => isPartlyWeighed)
        ? 'What its limits ask of its servos is unknown, since weights are missing. A stream would tell no more.'
        : 'Its limits ask for no more than its servos have. Add a stream to check the rest.',
  };
}

/** What takes speed peaks away that the stream does not have; '' where there are none. Other faults have causes of their own. */
const cureWords = (answer: Answer): string =>
  stutterWords(answer) === null
    ? ''
    : ' "posewright retime" brings the stream within the limits; or raise them, if "posewright tune --faster" finds torque to spare.';

function smooth(facts: Facts): WhyAnswer {
  const question = 'Will it be smooth?';
  const { replay } = facts;
  if (!replay) return { question, ...smoothWithout(facts) };
  const { word, because } = willItBeSmooth(replay.answer);
  const told = word === 'mostly' ? `${because}${cureWords(replay.answer)}` : because;
  return { question, verdict: word, because: told };
}

export const answersOf = (facts: Facts): WhyAnswer[] => [getThere(facts), carry(facts), power(facts), smooth(facts)];
