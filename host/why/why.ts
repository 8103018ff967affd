/**
 * The front door: the four questions answered, and for a symptom its causes, likeliest first, the cure of the first tried on
 * simulated metal. Without a symptom the questions that got a no choose one.
 */
import { PERFECT_LINK } from '../replay/link-model.ts';
import { replay } from '../replay/replay.ts';
import type { Replay } from '../replay/result.ts';
import type { Target } from '../replay/target.ts';
import type { Rig } from '../rig/rig.ts';
import type { StreamScan, StreamSource } from '../stream/read.ts';
import { answersOf } from './answers.ts';
import { causeOf, suspectsOf } from './causes.ts';
import { curedRig, factsAbout } from './facts.ts';
import type { Symptom, Trial, Why, WhyAnswer } from './result.ts';

export interface WhyStream {
  readonly name: string;
  readonly scan: StreamScan;
  /** The stream, as often as it is asked for. */
  source(): StreamSource;
}

export interface WhyOptions {
  readonly symptom: Symptom | null;
  readonly stream: WhyStream | null;
  /** The controller in simulation. */
  readonly target: Target;
}

/** The answer, and the replays that it rests on: as the rig is, and with its joints' limits cured. */
export interface Reasoned {
  readonly why: Why;
  readonly before: Replay | null;
  readonly after: Replay | null;
}

const TOLERANCE = { mm: 0.5, deg: 0.5 };

const play = (rig: Rig, { name, source }: WhyStream, target: Target): Promise<Replay> =>
  replay(rig, source(), target, { link: PERFECT_LINK, tolerance: TOLERANCE, name, plant: true });

/** What the answers themselves complain of. */
function symptomOf([there, , , smooth]: readonly WhyAnswer[]): Symptom | null {
  if (there?.verdict === 'no') return 'short';
  return smooth?.verdict === 'no' ? 'jerk' : null;
}

const trialOf = ({ answer }: Replay, name: string): Trial | null => {
  const joint = answer.joints.find((one) => one.name === name);
  if (!joint?.metal) return null;
  const { saturated_ms, tracking_error } = joint.metal;
  return { saturated_ms, tracking_error, unit: joint.unit };
};

const RESTS_ON = [
  'rigid rods and frames, a straight line from stall torque to no-load speed, gravity and the parts of the rig file',
  'margins that only a test on the real prop can show',
];

export async function whyOf(rig: Rig, { symptom, stream, target }: WhyOptions): Promise<Reasoned> {
  const before = stream ? await play(rig, stream, target) : null;
  const frames = stream?.scan.frames ?? 0;
  const length_s = (stream?.scan.last_s ?? 0) - (stream?.scan.first_s ?? 0);
  const facts = factsAbout(rig, before, frames > 1 && length_s > 0 ? (frames - 1) / length_s : null);
  const answers = answersOf(facts);
  const asked = symptom ?? symptomOf(answers);
  const suspects = asked ? suspectsOf(facts, asked) : [];
  const curable = suspects.some(({ cures }) => cures !== null);
  const after = before && stream && curable ? await play(curedRig(facts), stream, target) : null;
  const causes = suspects.map((suspect) =>
    causeOf(suspect, (joint) => {
      const trials = [before && trialOf(before, joint), after && trialOf(after, joint)] as const;
      return trials[0] && trials[1] ? [trials[0], trials[1]] : null;
    }),
  );
  const rests_on = [...new Set([...RESTS_ON, ...(before?.answer.metal?.rests_on ?? facts.gaps)])];
  return { why: { answers, symptom: asked, causes, rests_on }, before, after };
}
