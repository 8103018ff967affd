/**
 * Limits that a rig's servos can keep, tried on simulated metal before and after: the cure for a heavy joint that jerks. Where
 * no limits help it says what would.
 */
import type { Limits } from '../physics/servo/limits.ts';
import { Mechanism } from '../physics/dynamics/mechanism.ts';
import { type Posture, postureAt } from '../physics/dynamics/places.ts';
import type { Replay } from '../replay/result.ts';
import type { Target } from '../replay/target.ts';
import { TOLERANCE } from '../replay/tolerance.ts';
import { type Joint, type Rig, toShown } from '../rig/rig.ts';
import { type StreamSource, readStream } from '../stream/read.ts';
import { adviceFor } from './advice.ts';
import { exercise, quickLooks } from './exercise.ts';
import { marginsOf } from './margins.ts';
import { ONE_WAY_ROUNDS, type Plan, eachOf, eased, fileFigures, planLimits, posturesOf, shownFigures } from './plan.ts';
import type { Figures, Seen, TuneAnswer, TunedJoint } from './result.ts';
import { type Late, type Trial, type TrialStream, tryOut } from './verify.ts';
import { boundWords } from './words.ts';

export interface TuneOptions {
  /** Limits may rise above the file's. */
  readonly faster: boolean;
  /** What it is to play; null: anything. */
  readonly stream: TrialStream | null;
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

/** Limits found, and what led there. */
interface Settled {
  readonly plans: readonly Plan[];
  readonly before: Trial;
  readonly after: Trial;
  readonly postures: readonly Posture[];
  /** The moves of these plans, by name, that the limits were tried with. */
  readonly tryRig: (rig: Rig, names: readonly string[]) => Promise<Trial>;
}

async function settledLimits(rig: Rig, target: Target, { faster, stream, progress }: TuneOptions): Promise<Settled> {
  const postures = posturesOf(rig, stream && (await streamPostures(rig, stream.source)));
  const first = planLimits(rig, postures, faster);
  const looks = stream ? [] : quickLooks(rig, postures);
  const movesUpTo = (names: readonly string[] | null): Uint8Array[] => [
    new TextEncoder().encode(exercise(rig, first, looks, names)),
  ];
  progress?.(0);
  const before = await tryOut(rig, target, movesUpTo(null), stream);
  const settled = await settle(rig, first, before, ({ tuned, round, upTo, played }) => {
    progress?.((round + 1) / (MOST_ROUNDS + 2));
    return tryOut(tuned, target, movesUpTo(upTo), stream && { ...stream, played });
  });
  const tryRig: Settled['tryRig'] = (other, names) => {
    const some = first.filter(({ name }) => names.includes(name));
    const moves = exercise(rig, some, names.includes('legs') ? looks : []);
    return tryOut(
      other,
      target,
      [new TextEncoder().encode(moves)],
      names.includes('legs') && stream ? { ...stream, played: null } : null,
    );
  };
  return { ...settled, before, postures, tryRig };
}

/** Throws TargetError when the target cannot be used. The stream has been scanned before: it has no errors. */
export async function tune(rig: Rig, target: Target, options: TuneOptions): Promise<Tuned> {
  const { plans, before, after, postures, tryRig } = await settledLimits(rig, target, options);
  const tuned = withLimits(rig, plans);
  const answer = answerOf(rig, plans, before, after, options);
  const margins = answer.ok ? await marginsOf({ rig: tuned, plans, postures, tryRig }) : null;
  options.progress?.(1);
  return { rig: tuned, answer: { ...answer, margins } };
}

/** Limits that are proposed, by joint, where there are any; and the rig with what `tune` changes, played. */
export interface Proposed {
  readonly limits: readonly (Limits | null)[];
  readonly rig: Rig;
  readonly played: Replay | null;
}

/** The limits alone that `tune` finds: what others propose is the same. */
export async function proposedLimits(rig: Rig, target: Target, stream: TrialStream | null): Promise<Proposed> {
  const { plans, after } = await settledLimits(rig, target, { faster: false, stream });
  const limits: (Limits | null)[] = rig.joints.map(() => null);
  for (const { outcome, members, joint, limits: figures, full_range_s } of plans) {
    if (outcome !== 'tuned' && outcome !== 'well') continue;
    const own = eachOf(figures, (value) => value / toShown(joint, 1));
    for (const i of members) limits[i] = { ...own, full_range_s: full_range_s.after };
  }
  return { limits, rig: withLimits(rig, plans), played: after.played };
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

/** Limits to be tried in a round. */
interface Round {
  readonly tuned: Rig;
  readonly round: number;
  /** The moves may end with those of the last of these plans; null: they may not. */
  readonly upTo: readonly string[] | null;
  /** The stream's replay with these limits, where it is at hand. */
  readonly played: Replay | null;
}

/**
 * Tries the limits, and eases those of joints that still jerk, round after round. Those rounds end their moves with the last joint
 * that is eased; what then jerks no more is tried with all moves.
 */
async function settle(
  rig: Rig,
  first: readonly Plan[],
  before: Trial,
  tryRig: (round: Round) => Promise<Trial>,
): Promise<{ readonly plans: readonly Plan[]; readonly after: Trial }> {
  let plans = first;
  let isCut = false;
  const tryPlans = (round: number, upTo: Round['upTo'], played: Replay | null): Promise<Trial> =>
    tryRig({ tuned: withLimits(rig, plans), round, upTo, played });
  let after = plans.some(({ outcome }) => outcome === 'tuned') ? await tryPlans(0, null, null) : before;
  for (let round = 0; ; round++) {
    const stillOpen = (): Plan[] =>
      // What cannot be simulated is no reason to ease anything.
      round === MOST_ROUNDS || after.unsure !== null ? [] : plans.filter((plan) => isOpen(plan, before, after, round));
    if (isCut && stillOpen().length === 0) after = await tryPlans(round, null, after.played);
    const open = stillOpen();
    if (open.length === 0) return { plans, after };
    plans = plans.map((plan) => {
      if (!open.includes(plan)) return plan;
      const [was, is] = [worstOf(plan, before), worstOf(plan, after)];
      return eased(plan, round, is.pushes, shareLeft(was, is));
    });
    isCut = true;
    after = await tryPlans(
      round + 1,
      open.map(({ name }) => name),
      null,
    );
  }
}

/** Whether its joints still jerk, and gentler limits may help. */
const isOpen = ({ outcome, members }: Plan, before: Trial, after: Trial, round: number): boolean =>
  (outcome === 'tuned' || outcome === 'well') &&
  members.some((i) => isRough(before.joints[i]!, after.joints[i]!, round));

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
    after.fell === null ? [] : [`with these limits ${after.fell} still falls in simulation, so the others are unknown`];
  const unsure = after.unsure ?? before.unsure;
  const still = joints.flatMap((joint) => stillWords(joint));
  return {
    late: lateOf(rig, plans, before, after),
    ok: open.length === 0 && came.length === 0 && unsure === null,
    unsure,
    rig: rig.name,
    stream: stream?.name ?? null,
    faster,
    joints,
    margins: null,
    advice: [
      ...(unsure === null ? [] : [unsure.replace(/\.$/, '')]),
      ...came,
      ...still,
      ...plans.flatMap((plan) => (plan.outcome === 'cannot_hold' ? adviceFor(plan) : [])),
    ],
    rests_on: [...new Set([...after.rests_on, ...new Mechanism(rig).gaps.map(({ words }) => words)])],
  };
}

const carriesNothing = ({ platform, joints }: Rig, name: string): boolean =>
  joints.some((joint) => joint.name === name) && platform?.on !== name && joints.every(({ axis }) => axis?.on !== name);

/** Who comes later than what the stream asks, or goes past it, by more than nobody sees. */
function lateOf(rig: Rig, plans: readonly Plan[], before: Trial, after: Trial): TuneAnswer['late'] {
  const most = ({ late }: Trial, { members }: Plan, of: keyof Late): number =>
    Math.max(0, ...members.map((i) => late?.[i]?.[of] ?? 0));
  return plans
    .map((plan) => ({
      name: plan.name,
      unit: plan.joint.unit,
      before: most(before, plan, 'behind'),
      after: most(after, plan, 'behind'),
      past_before: most(before, plan, 'past'),
      past_after: most(after, plan, 'past'),
      carries_nothing: carriesNothing(rig, plan.name),
    }))
    .filter(({ unit, after: behind, past_after }) => Math.max(behind, past_after) > TOLERANCE[unit]);
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
