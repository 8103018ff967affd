/**
 * Can it carry it? What holding and moving take of each servo, where that is worst, what it draws, how it shakes, and how much
 * more it could carry. Nothing here knows the controller: a stream is taken as it asks, before any limit slows it.
 */
import { beyondLimitsIn } from '../physics/dynamics/beyond.ts';
import { whatStops } from '../physics/kinematics/inverse.ts';
import type { Gap } from '../physics/dynamics/mechanism.ts';
import { modesAt } from '../physics/vibration/modes.ts';
import { ridingWords } from '../physics/dynamics/riders.ts';
import type { Posture } from '../physics/dynamics/places.ts';
import { fastest, frictionOf } from '../physics/servo/servo-line.ts';
import { FULL_FORCE_AT_MM } from '../physics/servo/stiffness.ts';
import { FULL_TORQUE_AT_DEG } from '../rig/typical.ts';
import { type Joint, type Pose, type Rig, toShown } from '../rig/rig.ts';
import { short, together } from '../rig/words.ts';
import type { StoredStream } from '../stream/stored.ts';
import { type Along, walkAlong } from './along.ts';
import { Demand } from './demand.ts';
import { placeAnswer, postureOf } from './places.ts';
import { mostOf, restsOn } from './rests.ts';
import type { Easiest, JointAlong, JointLoad, LoadAnswer, SupplyLoad, WorstHold } from './result.ts';
import { type Sag, sagAt } from './sag.ts';
import { spareOf } from './spare.ts';
import { troublesOf } from './troubles.ts';
import { restUses, warmOf } from './warm.ts';
import { placeWords } from './words.ts';
import { HoldSearch, isLoose } from './worst.ts';

export interface LoadQuestion {
  readonly pose: Pose;
  /** Names of parts to leave out. */
  readonly without: readonly string[];
  /** With its name; at least one frame. */
  readonly stream: { readonly name: string; readonly stored: StoredStream } | null;
}

/** Why there is no answer, in words without a stop. */
export interface NoAnswer {
  readonly refused: string;
}

/** The whole answer; none where the legs do not reach the pose, or hold nothing there. */
export function load(rig: Rig, question: LoadQuestion): LoadAnswer | NoAnswer {
  const { pose, without } = question;
  const demand = new Demand(rig, { without });
  const asked = postureOf(rig, pose);
  if (!asked) return { refused: `the legs do not reach this pose (${stopText(rig, pose) ?? 'out of reach'})` };
  if (!demand.hold(asked))
    return { refused: 'at this pose the plate hangs loose, or a crank is in line with its rod: no torque holds it' };
  return answer(rig, question, demand, asked);
}

function stopText(rig: Rig, pose: Pose): string | null {
  const stop = rig.platform && whatStops(rig, pose);
  return stop && `${stop.joint}: ${stop.cause.replace('_', ' ')}`;
}

function answer(rig: Rig, question: LoadQuestion, demand: Demand, asked: Posture): LoadAnswer {
  const { without, stream } = question;
  const search = new HoldSearch(demand);
  const worst = rig.joints.map((_, i) => search.worst(i));
  const along = stream && walkAlong(demand, stream.stored);
  const joints = jointLoads(demand, asked, worst, along);
  const supply = supplyOf(demand, asked, along);
  const firm = worst.filter((_, i) => !joints[i]!.worst.loose);
  const deciding = {
    without,
    holds: [asked, ...firm],
    stream: stream?.stored ?? null,
    times_s: along?.joints.flatMap((joint) => joint?.at_s ?? []) ?? [],
  };
  const most = mostOf(rig, deciding);
  const sag = sagAt(demand, asked, rig.joints.map(isWeighed));
  const modes = modesAt(rig, asked.q, asked.pose, { without });
  const troubles = troublesOf(joints, supply);
  const beyond = stream ? beyondLimitsIn(rig, stream.stored) : [];
  return {
    ok: troubles.length === 0 && beyond.length === 0 && !(along && along.out_of_reach > 0),
    troubles,
    rig: rig.name,
    stream: stream?.name ?? null,
    without,
    at: placeAnswer(rig, asked),
    stopped: stopText(rig, question.pose),
    joints,
    easiest: troubles.some(({ cause }) => cause === 'hold') ? easiestOf(rig, search, asked) : null,
    seconds: stream && stream.stored.time(stream.stored.count - 1) - stream.stored.time(0),
    out_of_reach: along?.out_of_reach ?? null,
    beyond,
    warm: warmOf(joints, restUses(demand), stream !== null),
    supply,
    sag,
    modes: modes?.modes ?? null,
    spare: spareOf(rig, without, {
      holds: holdsOf(rig, asked, worst, joints),
      stream: deciding.stream,
      hardest_s: along?.hardest_s ?? [],
    }),
    most: most < Infinity ? most : null,
    rests_on: restsOn(rig, deciding),
    unweighed: demand.mechanism.gaps.filter(isWeight).map(({ words }) => words),
    left_out: leftOut(rig, demand),
    assumed: demand.mechanism.gaps.filter(({ assumed }) => assumed).map(({ words }) => words),
    model: modelOf(rig, modes?.assumed ?? [], sag),
  };
}

function jointLoads(demand: Demand, asked: Posture, worst: readonly Posture[], along: Along | null): JointLoad[] {
  const { rig } = demand;
  const told = (value: number): number | null => (Number.isNaN(value) ? null : value);
  demand.hold(asked);
  const askedEffort = [...demand.effort];
  // One such place is near to all legs' hardest: a search ends anywhere on the way there.
  const isLooseAt = worst.map((at, i) => i < 6 && demand.hold(at) && isLoose(demand, demand.effort, askedEffort));
  const firstLoose = worst[isLooseAt.indexOf(true)];
  return rig.joints.map((joint, i): JointLoad => {
    const known = isWeighed(joint);
    const loose = joint.kind === 'leg' && firstLoose !== undefined;
    const there = loose ? firstLoose : worst[i]!;
    demand.hold(there);
    const worstHeld: WorstHold = {
      effort: known && !loose ? demand.atServo(i) : null,
      use: known && !loose ? told(demand.share(i)) : null,
      loose,
      at: placeAnswer(rig, there, joint),
    };
    demand.hold(asked);
    const top = fastest(joint);
    const held = known ? demand.atServo(i) : null;
    const moved = along?.joints[i] ?? null;
    return {
      name: joint.name,
      leg: joint.kind === 'leg',
      unit: joint.unit,
      hold: held,
      hold_use: known ? told(demand.share(i)) : null,
      worst: worstHeld,
      along: moved,
      stall: joint.servo.stall,
      needs: needsOf(joint, held, worstHeld, moved),
      fastest: top === null ? null : toShown(joint, top),
      continuous_use: joint.servo.continuous_use,
      peak_use: joint.servo.peak_use,
    };
  });
}

/** See JointLoad.needs. */
function needsOf(
  { servo: { stall, continuous_use } }: Joint,
  held: number | null,
  worst: WorstHold,
  along: JointAlong | null,
): number | null {
  if (held === null || worst.loose || along?.impossible) return null;
  // Shares are of the stall torque that the file gives: without it neither moving nor heat has one.
  if (along && (stall === null || along.needed === null || along.rms_use === null)) return null;
  const moving = along ? [along.needed!, (stall! * along.rms_use!) / continuous_use] : [];
  return Math.max(Math.abs(held) / continuous_use, Math.abs(worst.effort ?? 0), ...moving);
}

/** Whether the file says what the joint has to hold. */
export const isWeighed = ({ kind, axis, load: own }: Joint): boolean =>
  kind === 'leg' || (axis !== null && !own) || (own !== null && own.mass_kg !== null && own.arm_mm !== null);

function supplyOf(demand: Demand, asked: Posture, along: Along | null): SupplyLoad {
  const { joints, supply } = demand.rig;
  const knows = ({ servo }: Joint): boolean => servo.stall_current_a !== null && servo.stall !== null;
  const unknown = joints.filter((joint) => !knows(joint)).map(({ name }) => name);
  const some = unknown.length < joints.length;
  demand.hold(asked);
  return {
    hold_a: some ? demand.current() : null,
    peak_a: some ? (along?.current?.peak_a ?? null) : null,
    peak_at_s: some ? (along?.current?.at_s ?? null) : null,
    stalled_a: some ? joints.reduce((sum, { servo }) => sum + (servo.stall_current_a ?? 0), 0) : null,
    gives_a: supply?.current_a ?? null,
    fuse_a: supply?.fuse_a ?? null,
    unknown,
  };
}

function easiestOf(rig: Rig, search: HoldSearch, asked: Posture): Easiest | null {
  const found = search.easiest(asked);
  const joint = rig.joints[found?.joint ?? -1];
  return found && joint ? { use: found.use, joint: joint.name, at: placeAnswer(rig, found.at, joint) } : null;
}

/** Where a joint runs out that holds where another, or it itself, has most to hold. */
const heldWhere = (rig: Rig, at: Posture, joint: Joint, most: Joint): string => {
  if (joint === most) return 'at its hardest pose';
  const words = placeWords(placeAnswer(rig, at, joint));
  return words === 'home' ? 'at home' : `at ${words}`;
};

/** Holds to look at for spare weight: where it stands, and where each joint has most to hold. */
const holdsOf = (rig: Rig, asked: Posture, worst: readonly Posture[], joints: readonly JointLoad[]) => [
  { at: asked, words: () => '' },
  ...worst.flatMap((at, i) =>
    joints[i]!.worst.loose ? [] : [{ at, words: (joint: Joint) => heldWhere(rig, at, joint, rig.joints[i]!) }],
  ),
];

/** A weight or an arm that nobody has told, rather than an inertia, or the bars of the legs. */
const isWeight = ({ path }: Gap): boolean => path === 'parts' || /\.(mass_kg|arm_mm)$/.test(path);

/** What is not known, in words. */
function leftOut(rig: Rig, demand: Demand): string[] {
  const unknown = (what: (joint: Joint) => number | null): string[] => [
    ...new Set(rig.joints.filter((joint) => what(joint) === null).map(({ servo }) => servo.name)),
  ];
  const stall = unknown(({ servo }) => servo.stall);
  const speed = unknown(({ servo }) => servo.no_load_speed);
  const tell = (names: readonly string[], words: string): string[] =>
    names.length === 0 ? [] : [`${words} of ${together(names)} is unknown`];
  return [
    ...tell(stall, 'the stall torque').map((words) => `${words}: no share of it, no heat, no current`),
    ...tell(speed, 'the no-load speed').map((words) => `${words}: whether a motion is too fast is unknown`),
    ...demand.mechanism.gaps.filter(({ assumed }) => !assumed).map(({ words }) => words),
  ];
}

/** Which dry friction counts. */
function frictionWords({ joints }: Rig): string {
  const rubbing = joints.filter((joint) => frictionOf(joint) > 0);
  const names = [...new Set(rubbing.map(({ servo }) => servo.name))];
  if (names.length === 0) return 'no friction';
  const others = rubbing.length < joints.length ? ', no other' : '';
  return `dry friction of ${together(names)} (friction_nm${others}) where it moves, none to hold`;
}

/** What the model takes for granted. */
function modelOf(rig: Rig, assumed: readonly string[], sag: Sag): string[] {
  const isAssumed = ({ name, servo }: Joint): boolean => assumed.includes(name) || sag.assumed.includes(servo.name);
  const classes = new Set(rig.joints.filter(isAssumed).map(({ servo }) => servo));
  const named = (drive: 'rotary' | 'linear'): string[] => [
    ...new Set([...classes].filter((servo) => servo.drive === drive).map(({ name }) => name)),
  ];
  const [turning, pushing] = [named('rotary'), named('linear')];
  const level = rig.platform && rig.platform.on === null && !rig.platform.mounted;
  return [
    ...(level ? ['a platform level on the ground, since the file has no mount'] : []),
    ...ridingWords(rig),
    `rigid rods, plates and gears, ${frictionWords(rig)}, torque that falls in a straight line from stall to no-load speed: leave a margin, and test it`,
    ...(turning.length > 0
      ? [
          `for swings and sag: servos (${together(turning)}) that reach full torque at an error of ${short(FULL_TORQUE_AT_DEG)} deg (assumed), until stiffness_nm_rad is measured`,
        ]
      : []),
    ...(pushing.length > 0
      ? [
          `for swings and sag: servos (${together(pushing)}) that reach full force at an error of ${short(FULL_FORCE_AT_MM)} mm (assumed)`,
        ]
      : []),
    'current proportional to torque, up to the stall current (common practice); idle current and electronics are extra',
  ];
}
