/**
 * Which servo would do for each joint of a rig, and what would make a smaller one do. The stream is taken as it asks, before any
 * limit slows it; without one, holding alone counts.
 */
import type { Rig } from '../../rig/rig.ts';
import type { StoredStream } from '../../stream/stored.ts';
import { ticksIn } from '../along.ts';
import { Demand } from '../demand.ts';
import { isWeighed } from '../load.ts';
import { type Asked, askedOf } from './asked.ts';
import { withServo } from './changed.ts';
import { judge, worstOf } from './judge.ts';
import { nearestGear, remediesFor } from './remedies.ts';
import { slowerFor } from './slower.ts';
import type { ClassVerdict, Group, Offer, Remedy, SizingAnswer } from './result.ts';

export interface SizingQuestion {
  /** At least one frame; null: holding alone. */
  readonly stream: { readonly name: string; readonly stored: StoredStream } | null;
  /** The rig's own classes and others, by different names. */
  readonly offers: readonly Offer[];
  /** How far from its axis a counterweight sits. */
  readonly arm_mm: number;
}

/** The joints by which of them share a class. */
function groupsOf({ joints, platform }: Rig): { readonly name: string; readonly joints: readonly number[] }[] {
  const legs = platform ? [{ name: 'legs', joints: [0, 1, 2, 3, 4, 5] }] : [];
  const others = joints.flatMap(({ kind, name }, i) => (kind === 'leg' ? [] : [{ name, joints: [i] }]));
  return [...legs, ...others];
}

export function sizing(rig: Rig, question: SizingQuestion): SizingAnswer {
  const { stream } = question;
  const demand = new Demand(rig);
  const stored = stream?.stored ?? null;
  const all = askedOf(
    demand,
    stored,
    rig.joints.map((_, i) => i),
  );
  const groups = groupsOf(rig).map(({ name, joints }) => groupOf(rig, name, joints, all, question));
  const ticks = stored ? ticksIn(stored.time(stored.count - 1) - stored.time(0), demand.dt_s) : 0;
  return {
    ok: groups.every(({ classes }) => classes.length === 0 || classes.some(({ enough }) => enough !== false)),
    rig: rig.name,
    stream: stream?.name ?? null,
    groups,
    misfits: question.offers.filter(({ servo }) => !rig.joints.some((joint) => joint.servo.drive === servo.drive)),
    out_of_reach: stored ? 1 - (all[0]?.t_s.length ?? 0) / ticks : null,
    unweighed: demand.mechanism.gaps
      .filter(({ path }) => path === 'parts' || /mass_kg|arm_mm/.test(path))
      .map(({ words }) => words),
  };
}

function groupOf(
  rig: Rig,
  name: string,
  indices: readonly number[],
  all: readonly Asked[],
  question: SizingQuestion,
): Group {
  const joints = indices.map((i) => rig.joints[i]!);
  const asked = indices.map((i) => all[i]!);
  const [first] = joints;
  if (!first) throw new Error('a group without joints');
  const weighed = joints.every(isWeighed);
  const fitting = question.offers.filter(({ servo }) => servo.drive === first.servo.drive);
  const classes = weighed ? fitting.map((offer) => verdictOf(rig, offer, asked)) : [];
  const isShort = classes.some(({ offer, enough }) => offer.servo.name === first.servo.name && enough === false);
  const or = first.kind === 'leg' ? [] : orOf(rig, indices[0]!, all, classes, question);
  return {
    name,
    joints: joints.map((joint) => joint.name),
    unit: first.unit,
    now: first.servo.name,
    weighed,
    loose: asked.some(({ loose }) => loose),
    classes,
    least: leastOf(classes.filter(({ enough }) => enough === true)),
    needs: needsOf(rig, asked),
    or,
    none_alone: isShort && first.kind !== 'leg' ? noneAlone(rig, indices[0]!, all, or, question) : null,
    slower: isShort && question.stream ? slowerFor(rig, indices, question.stream.stored) : null,
  };
}

/** Null: there is a remedy for the class that it has. */
function noneAlone(
  rig: Rig,
  joint: number,
  all: readonly Asked[],
  or: readonly Remedy[],
  { stream, arm_mm }: SizingQuestion,
): Group['none_alone'] {
  const { servo } = rig.joints[joint]!;
  if (or.some(({ offer }) => offer.servo.name === servo.name)) return null;
  const offer = { servo, price: null };
  return { gear: nearestGear({ rig, joint, offer, all, stream: stream?.stored ?? null, arm_mm }) };
}

function verdictOf(rig: Rig, offer: Offer, asked: readonly Asked[]): ClassVerdict {
  const each = asked.map((one): ClassVerdict => {
    const joint = rig.joints[one.joint]!;
    return { ...judge(withServo(joint, offer.servo), one), offer, worst: joint.name };
  });
  return worstOf(each);
}

/** Cheapest where all have a price, else the one of least stall torque. */
function leastOf(classes: readonly ClassVerdict[]): ClassVerdict | null {
  const priced = classes.every(({ offer }) => offer.price !== null);
  const size = ({ offer: { price, servo } }: ClassVerdict): number => (priced ? price! : (servo.stall ?? Infinity));
  return classes.reduce<ClassVerdict | null>((best, one) => (!best || size(one) < size(best) ? one : best), null);
}

const MOST_TIMES = 50;
const BISECTIONS = 40;

/** The least stall effort with which these joints' own class would do: an assumed rotor grows with it. */
function needsOf(rig: Rig, asked: readonly Asked[]): number | null {
  const own = rig.joints[asked[0]!.joint]!.servo;
  const { stall } = own;
  if (stall === null) return null;
  const does = (times: number): boolean =>
    asked.every(
      (one) => judge(withServo(rig.joints[one.joint]!, { ...own, stall: stall * times }), one).enough === true,
    );
  if (does(1) || !does(MOST_TIMES)) return null;
  let [lo, hi] = [1, MOST_TIMES];
  for (let k = 0; k < BISECTIONS; k++) {
    const middle = (lo + hi) / 2;
    if (does(middle)) hi = middle;
    else lo = middle;
  }
  return stall * hi;
}

/** Classes that are tried with a remedy, at most. */
const TRIED = 2;

/** For the class that it has, where that is not enough; else for smaller ones than it needs, the nearest first. */
function orOf(
  rig: Rig,
  joint: number,
  all: readonly Asked[],
  classes: readonly ClassVerdict[],
  question: SizingQuestion,
): Group['or'] {
  const { name } = rig.joints[joint]!.servo;
  const failing = classes.filter(({ enough }) => enough === false);
  const now = failing.find(({ offer }) => offer.servo.name === name);
  const nearest = [...failing].sort((a, b) => (b.margin ?? -1) - (a.margin ?? -1));
  for (const { offer } of now
    ? [now, ...nearest.filter((one) => one !== now)].slice(0, TRIED)
    : nearest.slice(0, TRIED)) {
    const found = remediesFor({
      rig,
      joint,
      offer,
      all,
      stream: question.stream?.stored ?? null,
      arm_mm: question.arm_mm,
    });
    if (found.length > 0) return found;
  }
  return [];
}
