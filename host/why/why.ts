/**
 * The front door: the four questions answered, and for a symptom its causes, likeliest first, with what simulated metal makes
 * of their cures. Without a symptom the questions that got a no choose one.
 */
import { load } from '../load/load.ts';
import type { LoadAnswer } from '../load/result.ts';
import { tellsMostWords } from '../load/words.ts';
import { PERFECT_LINK } from '../replay/link-model.ts';
import { replay } from '../replay/replay.ts';
import type { Replay } from '../replay/result.ts';
import type { Target } from '../replay/target.ts';
import { HOME, type Rig } from '../rig/rig.ts';
import type { StreamScan, StreamSource } from '../stream/read.ts';
import { storeStream } from '../stream/store.ts';
import { answersOf } from './answers.ts';
import type { Suspect } from './causes/cause.ts';
import { type Facts, type StreamFacts, factsAbout, loadOf } from './facts.ts';
import { causeOf, suspectsOf } from './rank.ts';
import { type Remedy, curedRig } from './remedies.ts';
import type { Symptom, Trial, Why, WhyAnswer } from './result.ts';

export interface WhyStream {
  readonly name: string;
  readonly scan: StreamScan;
  /** The stream, as often as it is asked for. */
  source(): StreamSource;
}

export interface WhyOptions {
  readonly symptom: Symptom | null;
  /** With a frame in it. */
  readonly stream: WhyStream | null;
  /** The controller in simulation. */
  readonly target: Target;
}

/** The answer, and the replays that it rests on: as the rig is, and with the cure of the first cause that the metal can try. */
export interface Reasoned {
  readonly why: Why;
  readonly before: Replay | null;
  readonly after: Replay | null;
}

const TOLERANCE = { mm: 0.5, deg: 0.5 };

const play = (rig: Rig, { name, source }: WhyStream, target: Target): Promise<Replay> =>
  replay(rig, source(), target, { link: PERFECT_LINK, tolerance: TOLERANCE, name, plant: true });

/** What the answers themselves complain of, the first to be mended first. */
function symptomOf([there, carry, power, smooth]: readonly WhyAnswer[], answer: LoadAnswer | null): Symptom | null {
  if (there?.verdict === 'no') return 'short';
  if (smooth?.verdict === 'no') return 'jerk';
  if (carry?.verdict === 'no') {
    const cause = answer?.troubles[0]?.cause;
    if (cause === 'hot' || cause === 'heat') return 'hot';
    return cause === 'torque' || cause === 'speed' ? 'jerk' : 'short';
  }
  return power?.verdict === 'no' ? 'twitch' : null;
}

const trialOf = ({ answer }: Replay, name: string): Trial | null => {
  const joint = answer.joints.find((one) => one.name === name);
  if (!joint?.metal) return null;
  const { saturated_ms, tracking_error, falls_at_s } = joint.metal;
  return { saturated_ms, tracking_error, falls_at_s, unit: joint.unit };
};

const RESTS_ON = [
  'rigid rods and frames, a straight line from stall torque to no-load speed, gravity and the parts of the rig file',
  'margins that only a test on the real prop can show',
];

/** Its frames a second are counted where it plays: see the scan. */
function streamFacts(stream: WhyStream): StreamFacts {
  const { frames, first_s, last_s } = stream.scan;
  const length_s = (last_s ?? 0) - (first_s ?? 0);
  return { name: stream.name, fps: frames > 1 && length_s > 0 ? (frames - 1) / length_s : null };
}

/** Plays what the suspects' cures would make of the rig, each cure once. */
async function tryCures(
  facts: Facts,
  suspects: readonly Suspect[],
  { stream, target }: WhyOptions,
): Promise<ReadonlyMap<Remedy, Replay>> {
  const played = new Map<Remedy, Replay>();
  for (const { trial } of suspects)
    if (trial && stream && !played.has(trial.remedy))
      played.set(trial.remedy, await play(curedRig(facts, trial.remedy), stream, target));
  return played;
}

/** Throws TargetError when the target cannot be used. */
export async function whyOf(rig: Rig, options: WhyOptions): Promise<Reasoned> {
  const { stream, target } = options;
  const stored = stream && { name: stream.name, stored: await storeStream(stream.source(), rig) };
  const before = stream && (await play(rig, stream, target));
  const facts = factsAbout(rig, {
    load: load(rig, { pose: HOME, without: [], stream: stored }),
    stream: stream && streamFacts(stream),
    replay: before,
  });
  const answer = loadOf(facts);
  const answers = answersOf(facts);
  const symptom = options.symptom ?? symptomOf(answers, answer);
  const suspects = symptom ? suspectsOf(facts, symptom) : [];
  const played = await tryCures(facts, suspects, options);
  const causes = suspects.map((suspect) => {
    const after = suspect.trial && played.get(suspect.trial.remedy);
    const trials =
      suspect.trial && before && after ? [before, after].map((one) => trialOf(one, suspect.trial!.joint)) : [];
    return causeOf(suspect, trials[0] && trials[1] ? [trials[0], trials[1]] : null);
  });
  const rests_on = [...new Set([...RESTS_ON, ...(before?.answer.metal?.rests_on ?? []), ...(answer?.left_out ?? [])])];
  const measure_first = answer && tellsMostWords(answer);
  const first = suspects.find(({ trial }) => trial !== null)?.trial;
  return {
    why: { answers, symptom, causes, rests_on, measure_first },
    before,
    after: (first && played.get(first.remedy)) ?? null,
  };
}
