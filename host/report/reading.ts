/** The words at the end: how to read the report, what it rests on, how to stay safe, where to look next. */
import { PLUS_MINUS_NOTE } from '../rig/terms.ts';
import type { Answer, JointAnswer, Replay } from '../replay/result.ts';
import type { Rig, Source } from '../rig/rig.ts';
import { count, figure } from './draw/figures.ts';
import { markup } from './draw/markup.ts';
import type { Markup } from './draw/markup.ts';
import { effortOf, metalNames, namesWords } from '../replay/words.ts';
import {
  followsOnMetal,
  furthestBehind,
  furthestPast,
  mostHeld,
  provenWords,
  stutterWords,
  unsureWords,
  withinTolerance,
} from '../replay/verdict.ts';

/** Sentences as a list. */
export const list = (items: readonly string[]): Markup =>
  markup`<ul>
    ${items.map((item) => markup`<li>${item}</li>`)}
  </ul>`;

const delay = ({ delay_ms, look_ahead_ms, wobble_ms }: Answer): string => {
  const ahead = look_ahead_ms > 0 ? `, ${figure(look_ahead_ms, 'ms')} of it look-ahead,` : '';
  const playback = `The playback delay of ${figure(delay_ms - wobble_ms, 'ms')}${ahead}`;
  return wobble_ms === 0 ? `${playback} is` : `${playback} and the ${figure(wobble_ms, 'ms')} of the wobble cure are`;
};

const reading = (answer: Answer): readonly string[] => [
  `Asked is the stream’s value at playback time. ${delay(answer)} constant and subtracted, so it does not count as being behind.`,
  'Behind is how far a joint is from what is asked of it at that moment; past is how far it is beyond everything asked within 0.8 s before or after, or its braking time where that is longer. A joint that is behind lags; one that is past overshoots, and may hit something.',
  'Delivered is the pose of the plate for the joint positions the controller commands, after every limit and filter.',
  'At its limits counts the ticks on which a speed, acceleration or soft limit changed a joint’s motion. That breaks nothing: the controller keeps within every limit, and the motion lags or overshoots instead.',
  `${PLUS_MINUS_NOTE} A soft limit is a joint’s limit_deg or limit_mm in the rig file.`,
  'x points where the character looks, y to its left, z up. Positive pitch turns the nose down, positive yaw turns it to its left.',
];

const SOFT_SOURCES: readonly Source['from'][] = ['estimate', 'assumed', 'unknown'];

/** The figures of the rig that nobody measured, by how they came about. */
function guessed(rig: Rig): readonly string[] {
  return SOFT_SOURCES.flatMap((from) => {
    const paths = [...rig.sources].filter(([, source]) => source.from === from).map(([path]) => path);
    if (paths.length === 0) return [];
    const how = from === 'estimate' ? 'Estimated' : from === 'assumed' ? 'Assumed' : 'Unknown';
    return [`${how} in the rig file: ${paths.join(', ')}.`];
  });
}

/** Whose servos were modelled. */
function modelledWords(answer: Answer): string {
  const { simulated, exact } = metalNames(answer);
  if (simulated.length === 0) return 'No servo was simulated: the figures it takes are unknown.';
  const who = exact.length === 0 ? '' : ` of ${namesWords(simulated)}`;
  const effort = effortOf(answer.joints.filter(({ name }) => simulated.includes(name)));
  return `${effort.slice(0, 1).toUpperCase()}${effort.slice(1)} and speed of the servos${who} were simulated: out of ${effort} is the time a servo could not follow.`;
}

function restsOn(rig: Rig, answer: Answer): readonly string[] {
  const plant = answer.metal !== null;
  return [
    `Replayed on ${answer.target}: ${provenWords(answer.proven)}.`,
    `${count(answer.ticks, 'tick')} at ${figure(rig.motion.tick_hz, 'Hz')} and ${count(answer.frames, 'frame')} of ${answer.stream}, ${figure(answer.seconds, 's', 2)} in all.`,
    plant
      ? modelledWords(answer)
      : 'Joints are taken to be where the controller commands them: weight, play and the servos’ own lag are not in these figures.',
    ...(rig.platform && !rig.platform.mounted
      ? [
          `The rig file does not say how the base is mounted: it is taken as level on ${rig.platform.on ?? 'the ground'}.`,
        ]
      : []),
    ...(answer.metal?.rests_on ?? []).map((words) => `${words.slice(0, 1).toUpperCase()}${words.slice(1)}.`),
    ...guessed(rig),
  ];
}

const shortOf = ({ joints }: Answer): readonly JointAnswer[] =>
  joints.filter(({ metal }) => (metal?.saturated_ms ?? 0) > 0);

function nextSteps({ answer }: Replay): readonly string[] {
  const held = mostHeld(answer);
  const steps: string[] = [];
  if (answer.breach_count > 0) steps.push('Start with the first limit broken: later ones may be its consequences.');
  const unsure = unsureWords(answer);
  if (unsure !== null) steps.push(unsure);
  if (!followsOnMetal(answer) && (unsure === null || shortOf(answer).length > 0)) {
    steps.push(
      `Out of ${effortOf(shortOf(answer))}: “posewright why” says what uses it, and “posewright tune” finds limits the servos can keep, or says what else would help.`,
    );
  }
  if (answer.unreachable > 0) {
    steps.push(
      'Out of reach: for a single pose, “posewright solve” says what stops it and how much room each leg has left. Ask for less in the stream, or change the part that stops it.',
    );
  }
  if (answer.beyond.length > 0) {
    steps.push(
      'Beyond a soft limit: “posewright retime --fit” moves the stream within it; or widen limit_deg, as far as the mechanism allows.',
    );
  }
  const past = furthestPast(answer);
  if (past) {
    steps.push(
      `Past: ${past.name} overshoots. “posewright retime” slows the stream to prevent that, and a motion.look_ahead_ms as long as its braking time lets it brake in time; until then keep anything it could hit further away than ${figure(past.past, past.unit, 1)}.`,
    );
  }
  if (stutterWords(answer) !== null) {
    steps.push(
      'Speed peaks that the stream does not have: it stutters where it runs at its limits. “posewright retime” brings the stream within them; or raise the limits, if “posewright tune --faster” finds torque to spare.',
    );
  }
  if (held && (furthestBehind(answer) !== null || !withinTolerance(answer))) {
    steps.push(
      `At its limits: look at ${held.joint.name} first. Ask for slower motion there, or raise the limit its chart reaches, if its servo has torque to spare.`,
    );
  }
  if (answer.starved > 0 || answer.late > 0 || answer.lost > 0) {
    steps.push('Gaps in the stream: a longer playback delay covers late frames; lost frames need a better link.');
  }
  if (steps.length === 0) {
    steps.push(
      'Nothing is out of limits. This was a simulation: even with a good answer here, watch the prop when you first run it.',
    );
  }
  return steps;
}

/** On every page. */
export const SAFETY = markup`<div class="safety">
  <p>
    <strong>Safety.</strong> A prop like this can pinch fingers and drop
    its weight. Keep hands clear while it has power. Fit a real power
    cut-off within reach: software is no safety device, and “settle” only
    brings the prop to rest in its own time. Follow your local codes, and
    leave what they reserve for licensed practice to those who hold the
    licence.
  </p>
</div>`;

/** Sections 7 and 8. */
export const readingSection = (rig: Rig, replay: Replay): Markup =>
  markup`<section id="reading">
      <h2>How to read this</h2>
      ${list(reading(replay.answer))}
    </section>
    <section id="rests">
      <h2>What it is based on</h2>
      ${list(restsOn(rig, replay.answer))}
      ${SAFETY}
    </section>
    <section id="next">
      <h2>Where to look next</h2>
      ${list(nextSteps(replay))}
    </section>`;
