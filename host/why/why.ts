/**
 * The front door: the four questions answered, and for a symptom its causes, likeliest first, with what simulated metal makes
 * of their cures. Without a symptom the questions that got a no choose one.
 */
import { load } from '../load/load.ts';
import type { LoadAnswer } from '../load/result.ts';
import { tellsMostWords } from '../load/words.ts';
import { playOnMetal } from '../replay/on-metal.ts';
import type { Replay } from '../replay/result.ts';
import type { Target } from '../replay/target.ts';
import { HOME, type Rig } from '../rig/rig.ts';
import type { StreamScan, StreamSource } from '../stream/read.ts';
import { storeStream } from '../stream/store.ts';
import { type Proposed, proposedLimits } from '../tune/tune.ts';
import { answersOf } from './answers.ts';
import type { Suspect } from './causes/cause.ts';
import { mayNeedLimits } from './causes/torque.ts';
import { type Facts, type StreamFacts, factsAbout, loadOf, withProposed } from './facts.ts';
import { POSSIBLE, type Tried, causeOf, suspectsOf } from './rank.ts';
import { type Remedy, SWINGING, trialsFor } from './remedies.ts';
import type { Symptom, Trial, Why, WhyAnswer } from './result.ts';

export interface WhyStream {
  readonly name: string;
  readonly scan: StreamScan;
  /** Can be read again. */
  readonly source: StreamSource;
}

export interface WhyOptions {
  readonly symptom: Symptom | null;
  /** With a frame in it. */
  readonly stream: WhyStream | null;
  /** The controller in simulation. */
  readonly target: Target;
  /** Told how far the replay that runs has come, s; the stream is played once, and once or twice more for each cure tried. */
  readonly progress?: (at_s: number) => void;
}

/** The answer, and the replays that it rests on: as the rig is, and with limits that its servos can keep, where those may cure it. */
export interface Reasoned {
  readonly why: Why;
  readonly before: Replay | null;
  readonly after: Replay | null;
}

const play = (rig: Rig, { name, source }: WhyStream, { target, progress }: Looked['options']): Promise<Replay> =>
  playOnMetal(rig, source, target, name, progress);

/** What the answers themselves complain of, the first to be mended first. */
function symptomOf([there, carry, power, smooth]: readonly WhyAnswer[], answer: LoadAnswer | null): Symptom | null {
  const cause = answer?.troubles[0]?.cause;
  // What cannot hold its load does not get anywhere.
  if (there?.verdict === 'no' || cause === 'hold') return 'short';
  if (smooth?.verdict === 'no') return 'jerk';
  if (carry?.verdict === 'no') {
    if (cause === 'hot' || cause === 'heat') return 'hot';
    return cause === 'torque' || cause === 'speed' ? 'jerk' : 'short';
  }
  return power?.verdict === 'no' ? 'twitch' : null;
}

const trialOf = ({ answer }: Replay, name: string): Trial | null => {
  const joint = answer.joints.find((one) => one.name === name);
  // What cannot be simulated shows nothing of a cure.
  if (!joint?.metal || answer.metal?.unsure) return null;
  const { saturated_ms, tracking_error, wobble, falls_at_s } = joint.metal;
  return { saturated_ms, tracking_error, wobble, falls_at_s, unit: joint.unit };
};

const RESTS_ON = [
  'rigid rods and frames, torque that falls in a straight line from stall to no-load speed, the figures of the rig file',
  'margins have to be tested on the real prop',
];

/** Frames a second are counted where frames come: pauses are left out. */
function streamFacts({ name, scan: { frames, first_s, last_s, pauses, shaking } }: WhyStream): StreamFacts {
  const paused_s = pauses.reduce((sum, { from_s, to_s }) => sum + to_s - from_s, 0);
  const steps = frames - 1 - pauses.length;
  const length_s = (last_s ?? 0) - (first_s ?? 0) - paused_s;
  return { name, fps: steps > 0 && length_s > 0 ? steps / length_s : null, pauses, shaking };
}

/** A rig and its stream looked into, before anything is asked: what every symptom is argued from. */
export interface Looked {
  facts: Facts;
  /** What `tune` proposes, after rounds on simulated metal; null: not looked for yet, and the limits are those of the sums alone. */
  proposed: Proposed | null;
  readonly answers: readonly WhyAnswer[];
  readonly options: Omit<WhyOptions, 'symptom'>;
  /** Cures that were played already. */
  readonly played: Map<Remedy, readonly [before: Replay, after: Replay]>;
}

/** Throws TargetError when the target cannot be used. */
export async function lookInto(rig: Rig, options: Looked['options']): Promise<Looked> {
  const { stream } = options;
  const stored = stream && { name: stream.name, stored: await storeStream(stream.source, rig) };
  const facts = factsAbout(rig, {
    load: load(rig, { pose: HOME, without: [], stream: stored }),
    stream: stream && streamFacts(stream),
    replay: stream && (await play(rig, stream, options)),
  });
  return { facts, proposed: null, answers: answersOf(facts), options, played: new Map() };
}

/** Where new limits may be what cures, they are those that `tune` proposes, looked for once. */
async function settleLimits(looked: Looked, suspects: readonly Suspect[]): Promise<boolean> {
  const { facts, options } = looked;
  if (looked.proposed || !suspects.some(mayNeedLimits(facts))) return false;
  const { target, stream } = options;
  const played = facts.replay;
  const asked = stream && { name: stream.name, source: stream.source, played };
  looked.proposed = await proposedLimits(facts.rig, target, asked);
  looked.facts = withProposed(facts, looked.proposed.limits);
  return true;
}

/** Whether they are limited alike, but for rounding. */
const isAlike = (one: Rig, other: Rig): boolean =>
  one.joints.every((joint, i) =>
    (['speed', 'plus', 'minus', 'plus_gone', 'minus_gone'] as const).every(
      (key) => joint[key] === other.joints[i]![key] || Math.abs(joint[key] / other.joints[i]![key] - 1) < ROUNDING,
    ),
  );
const ROUNDING = 1e-9;

/** Plays what the cures of suspects that are possible at least would make of the rig, each cure once. */
async function tryCures({ facts, options, played, proposed }: Looked, suspects: readonly Suspect[]): Promise<void> {
  const { stream } = options;
  for (const { trial, weight } of suspects) {
    if (!trial || !stream || !facts.replay || weight < POSSIBLE || played.has(trial.remedy)) continue;
    const rigs = trialsFor(facts, trial.remedy);
    if (!rigs) continue;
    const before = rigs.before ? await play(rigs.before, stream, options) : facts.replay;
    const isProposed = trial.remedy === 'limits' && proposed !== null && isAlike(proposed.rig, rigs.after);
    const after = (isProposed ? proposed.played : null) ?? (await play(rigs.after, stream, options));
    played.set(trial.remedy, [before, after]);
  }
}

function triedOf({ facts, played }: Looked, { trial, weight }: Suspect): Tried | null {
  const [before, after] = (trial && played.get(trial.remedy)) ?? [null, null];
  if (!trial || weight < POSSIBLE || !before || !after) return null;
  const [first, second] = [before, after].map((one) => trialOf(one, trial.joint));
  if (!first || !second) return null;
  const swinging = trial.remedy === 'wobble' && facts.rig.motion.wobble.damping === null;
  return { before: first, after: second, assumed: swinging ? SWINGING_WORDS : null };
}

const SWINGING_WORDS = `servo loops damped to ${String(SWINGING)} of critical`;

/** What there is to say of a symptom; null: of the first question that got a no. Throws TargetError as above. */
export async function tell(looked: Looked, asked: Symptom | null): Promise<Reasoned> {
  const { answers, played } = looked;
  const answer = loadOf(looked.facts);
  const symptom = asked ?? symptomOf(answers, answer);
  let suspects = symptom ? suspectsOf(looked.facts, symptom) : [];
  if (symptom && (await settleLimits(looked, suspects))) suspects = suspectsOf(looked.facts, symptom);
  const { facts } = looked;
  await tryCures(looked, suspects);
  const causes = suspects.map((suspect) => causeOf(suspect, triedOf(looked, suspect)));
  const metal = facts.replay?.answer.metal?.rests_on ?? [];
  const rests_on = [...new Set([...RESTS_ON, ...metal, ...(answer?.left_out ?? []), ...(answer?.assumed ?? [])])];
  const measure_first = answer && tellsMostWords(answer);
  return {
    why: { answers, symptom, causes, rests_on, measure_first },
    before: facts.replay,
    after: played.get('limits')?.[1] ?? null,
  };
}

/** Both at once. */
export const whyOf = async (rig: Rig, { symptom, ...options }: WhyOptions): Promise<Reasoned> =>
  tell(await lookInto(rig, options), symptom);
