/**
 * Limits that a rig's servos can keep, tried on simulated metal before and after: the cure for a heavy joint that jerks. Where
 * no limits help it says what would.
 */
import { Mechanism } from '../physics/mechanism.ts';
import { type Posture, postureAt } from '../physics/places.ts';
import type { Target } from '../replay/target.ts';
import { TOLERANCE } from '../replay/tolerance.ts';
import { type Joint, type Rig, toShown } from '../rig/rig.ts';
import { type StreamSource, readStream } from '../stream/read.ts';
import { adviceFor } from './advice.ts';
import { exercise, quickLooks } from './exercise.ts';
import { ONE_WAY_ROUNDS, type Plan, eachOf, eased, fileFigures, planLimits, posturesOf, shownFigures } from './plan.ts';
import type { Figures, Seen, TuneAnswer, TunedJoint } from './result.ts';
import { type Trial, tryOut } from './verify.ts';
import { boundWords } from './words.ts';

export interface TuneOptions {
  /** Limits may rise above the file's. */
  readonly faster: boolean;
  /** What it is to play; null: anything. */
  readonly stream: { readonly source: StreamSource; readonly name: string } | null;
  /** Called now and then with the share that is done, 0 to 1. */
  readonly progress?: (share: number) => void;
}

export interface Tuned {
  readonly answer: TuneAnswer;
  /** With the new limits. */
  readonly rig: Rig;
}

/** Frames of a stream that are looked at for their postures. */
const MOST_POSTURES = 200;

/** Throws TargetError when the target cannot be used. The stream has been scanned before: it has no errors. */
export async function tune(rig: Rig, target: Target, { faster, stream, progress }: TuneOptions): Promise<Tuned> {
  const postures = posturesOf(rig, stream && (await streamPostures(rig, stream.source)));
  const first = planLimits(rig, postures, faster);
  const looks = stream ? [] : quickLooks(rig, postures);
  const text = new TextEncoder().encode(exercise(rig, first, looks));
  const asked = stream?.source ?? null;
  progress?.(0);
  const before = await tryOut(rig, target, [text], asked);
  const settled = await settle(rig, first, before, (tuned, round) => {
    progress?.((round + 1) / (MOST_ROUNDS + 2));
    return tryOut(tuned, target, [text], asked);
  });
  progress?.(1);
  const { plans, after } = settled;
  return { rig: withLimits(rig, plans), answer: answerOf(rig, plans, before, after, { faster, stream }) };
}

const MOST_ROUNDS = 8;

/** A cure brings a servo that ran out of torque so many times nearer to its command, where that costs little time. */
const NEARER = 5;
/** Nearer than this nobody sees, deg or mm (ours). */
const NEAR = 0.25;

const isRough = (before: Seen, after: Seen, round: number): boolean =>
  after.saturated_ms > 0 ||
  after.falls ||
  (round < ONE_WAY_ROUNDS && before.saturated_ms > 0 && after.peak_error > Math.max(NEAR, before.peak_error / NEARER));

/** Tries the limits, and eases those of joints that still jerk, round after round. */
async function settle(
  rig: Rig,
  first: readonly Plan[],
  before: Trial,
  tryRig: (tuned: Rig, round: number) => Promise<Trial>,
): Promise<{ readonly plans: readonly Plan[]; readonly after: Trial }> {
  let plans = first;
  let after = plans.some(({ outcome }) => outcome === 'tuned') ? await tryRig(withLimits(rig, plans), 0) : before;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const jerks = (plan: Plan): boolean =>
      plan.members.some((i) => isRough(before.joints[i]!, after.joints[i]!, round));
    const open = (plan: Plan): boolean => (plan.outcome === 'tuned' || plan.outcome === 'well') && jerks(plan);
    // What cannot be simulated is no reason to ease anything.
    if (after.unsure !== null || !plans.some(open)) break;
    plans = plans.map((plan) => {
      if (!open(plan)) return plan;
      const [was, is] = [worstOf(plan, before), worstOf(plan, after)];
      return eased(plan, round, is.pushes, shareLeft(was, is));
    });
    after = await tryRig(withLimits(rig, plans), round + 1);
  }
  return { plans, after };
}

/** What a round of easing leaves of a limit at least and at most (ours). */
const [LEAST_LEFT, MOST_LEFT] = [0.6, 0.86];

/** How far a servo is behind goes about as its acceleration. */
const shareLeft = (before: Seen, after: Seen): number =>
  Math.min(MOST_LEFT, Math.max(LEAST_LEFT, before.peak_error / NEARER / after.peak_error));

/** Of a plan's members the one that was furthest behind. */
const worstOf = ({ members }: Plan, { joints }: Trial): Seen =>
  members.map((i) => joints[i]!).reduce((worst, seen) => (seen.peak_error > worst.peak_error ? seen : worst));

/** Evenly over the stream; where it is out of reach there is no posture. */
async function streamPostures(rig: Rig, source: StreamSource): Promise<Posture[]> {
  const homes = rig.joints.filter(({ kind }) => kind !== 'leg').map(({ home }) => home);
  const all: Posture[] = [];
  for await (const { frames } of readStream(source, rig))
    for (const { pose, joints } of frames) {
      const others = homes.map((home, k) => (Number.isNaN(joints[k]!) ? home : joints[k]!));
      const posture = postureAt(rig, pose, others);
      if (posture) all.push(posture);
    }
  const every = Math.max(1, Math.ceil(all.length / MOST_POSTURES));
  return all.filter((_, k) => k % every === 0);
}

function withLimits(rig: Rig, plans: readonly Plan[]): Rig {
  const joints = [...rig.joints];
  for (const { outcome, members, limits } of plans)
    if (outcome === 'tuned') for (const i of members) joints[i] = limited(joints[i]!, limits);
  return { ...rig, joints };
}

function limited(joint: Joint, limits: Figures): Joint {
  const unit = toShown(joint, 1);
  return { ...joint, ...eachOf(limits, (value) => value / unit) };
}

function answerOf(
  rig: Rig,
  plans: readonly Plan[],
  before: Trial,
  after: Trial,
  { faster, stream }: TuneOptions,
): TuneAnswer {
  const joints = plans.map((plan) => jointOf(plan, before, after));
  const open = plans.filter((plan, k) => plan.outcome === 'cannot_hold' || (joints[k]!.after?.saturated_ms ?? 0) > 0);
  const came =
    after.fell === null
      ? []
      : [`with these limits ${after.fell} still falls, in simulation; the others are not known for that`];
  const unsure = after.unsure ?? before.unsure;
  const still = joints.flatMap((joint) => stillWords(joint));
  return {
    late: lateOf(plans, before, after),
    ok: open.length === 0 && came.length === 0 && unsure === null,
    unsure,
    rig: rig.name,
    stream: stream?.name ?? null,
    faster,
    joints,
    advice: [
      ...(unsure === null ? [] : [unsure.replace(/\.$/, '')]),
      ...came,
      ...still,
      ...plans.flatMap((plan) => (plan.outcome === 'cannot_hold' ? adviceFor(plan) : [])),
    ],
    rests_on: [...new Set([...after.rests_on, ...new Mechanism(rig).gaps.map(({ words }) => words)])],
  };
}

/** Who comes later than what the stream asks, and further than nobody sees. */
function lateOf(plans: readonly Plan[], before: Trial, after: Trial): TuneAnswer['late'] {
  const most = (late: readonly number[] | null, { members }: Plan): number =>
    Math.max(0, ...members.map((i) => late?.[i] ?? 0));
  return plans
    .map((plan) => ({
      name: plan.name,
      unit: plan.joint.unit,
      before: most(before.late, plan),
      after: most(after.late, plan),
    }))
    .filter(({ unit, after: behind }) => behind > TOLERANCE[unit]);
}

function stillWords({ name, outcome, after }: TunedJoint): string[] {
  if (outcome === 'cannot_hold' || !after || after.saturated_ms === 0) return [];
  const ms = after.saturated_ms.toFixed(after.saturated_ms < 10 ? 1 : 0);
  return [`${name}: with these limits it is still out of torque for ${ms} ms: other joints shake it, or gear play`];
}

function jointOf(plan: Plan, before: Trial, after: Trial): TunedJoint {
  const { name, path, joint, outcome, limits, could, members, full_range_s } = plan;
  const seen = (trial: Trial): Seen | null =>
    outcome === 'unknown' ||
    trial.unsure !== null ||
    (trial.fell !== null && !members.some((i) => trial.joints[i]!.falls))
      ? null
      : {
          ...worstOf(plan, trial),
          saturated_ms: Math.max(...members.map((i) => trial.joints[i]!.saturated_ms)),
          falls: members.some((i) => trial.joints[i]!.falls),
        };
  return {
    name,
    path: path.join('.'),
    unit: joint.unit,
    outcome,
    file: fileFigures(joint),
    limits,
    could: could && shownFigures(joint, could),
    full_range_s,
    bound_by: boundWords(plan),
    before: seen(before),
    after: seen(after),
  };
}
