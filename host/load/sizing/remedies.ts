/**
 * What would make a servo do that alone does not: another gear, a counterweight, a spring. Each is sized on what is asked of the
 * joint, and then worked out anew in the rig with it, hardest places and every tick of the stream; what fails there is sized again
 * with the place where it failed.
 */
import { type Joint, type Rig, toDeg, toRad } from '../../rig/rig.ts';
import { pulseAt } from '../../rig/pulse.ts';
import type { StoredStream } from '../../stream/stored.ts';
import { type AxisSpring, Demand } from '../demand.ts';
import { MOST_SPARE_KG } from '../spare.ts';
import { armFor } from './arm.ts';
import { type Asked, type HeldAt, askedOf } from './asked.ts';
import { geared, withCounterweight, withJoint, withServo } from './changed.ts';
import { type Help, type Judged, judge, spentOf } from './judge.ts';
import { least } from './least.ts';
import type { NearestGear, Offer, Remedy } from './result.ts';
import { ticksOf } from './ticks.ts';

/** A joint with a servo that is not enough for what is asked of it. */
export interface Need {
  readonly rig: Rig;
  /** Index of the joint, no leg. */
  readonly joint: number;
  readonly offer: Offer;
  /** Of all joints of the rig, by their indices. */
  readonly all: readonly Asked[];
  readonly stream: StoredStream | null;
  readonly arm_mm: number;
}

/** Those that do, of all three. */
export function remediesFor(need: Need): Remedy[] {
  // What is too slow is so whatever it carries.
  const isSlow = judge(jointWith(need), need.all[need.joint]!).short === 'speed';
  const found = isSlow ? [gear(need)] : [gear(need), counterweight(need), spring(need)];
  return found.filter((remedy) => remedy !== null);
}

const MOST_RATIO = 20;
const STEPS_A_UNIT = 10;
/** Sized anew so often at most, each time with one more place to hold at. */
const ROUNDS = 4;

const jointWith = ({ rig, joint, offer }: Need): Joint => withServo(rig.joints[joint]!, offer.servo);

/** Rounding of a pulse that stands exactly at the end of its range, µs. */
const ROUNDING_US = 1e-6;

/** Whether the servo turns far enough behind its gear, by the joint's own pulses. */
function turnsSoFar(joint: Joint): boolean {
  const [lowest, highest] = joint.range_us;
  return [joint.lo, joint.hi].every((at) => {
    const us = pulseAt(joint, at);
    return us >= lowest - ROUNDING_US && us <= highest + ROUNDING_US;
  });
}

const RATIOS = Array.from({ length: MOST_RATIO * STEPS_A_UNIT }, (_, k) => (k + 1) / STEPS_A_UNIT);

/** Where no gear does: the ratio in tenths that asks least of its servo; null: with each it is too slow, or does not turn so far. */
export function nearestGear(need: Need): NearestGear | null {
  const joint = jointWith(need);
  let best: NearestGear | null = null;
  for (const ratio of RATIOS) {
    const other = geared(joint, ratio);
    if (!turnsSoFar(other)) continue;
    const judged = judge(other, need.all[need.joint]!);
    if (judged.margin !== null && judged.margin > (best?.judged.margin ?? -Infinity)) best = { ratio, judged };
  }
  return best;
}

/** The ratio in tenths that leaves most margin, of those that do. */
function gear(need: Need): Remedy | null {
  const joint = jointWith(need);
  let best: { readonly ratio: number; readonly margin: number } | null = null;
  for (const ratio of RATIOS) {
    const other = geared(joint, ratio);
    if (!turnsSoFar(other)) continue;
    const { enough, margin } = judge(other, need.all[need.joint]!);
    if (enough === true && (margin ?? Infinity) > (best?.margin ?? -1)) best = { ratio, margin: margin ?? Infinity };
  }
  if (!best) return null;
  const { ratio } = best;
  const { judged } = again(need, withJoint(need.rig, need.joint, geared(joint, ratio)));
  return judged.enough ? { kind: 'gear', ratio, before: joint.gear_ratio, offer: need.offer, judged } : null;
}

/** The joint in a changed rig: all of it worked out anew. */
function again(
  { joint, offer, stream }: Need,
  rig: Rig,
  springs: readonly AxisSpring[] = [],
): { readonly judged: Judged; readonly asked: Asked } {
  const demand = new Demand(rig, { springs });
  const [asked] = askedOf(demand, stream, [joint]);
  if (!asked) throw new Error('no joint was asked about');
  return { judged: judge(withServo(rig.joints[joint]!, offer.servo), asked), asked };
}

/** Whether every joint that carries this one, and does with the servo it has, still does in a changed rig. */
function carriersHold({ joint, all, stream }: Need, rig: Rig): boolean {
  const carriers = carriersOf(rig, joint).filter((i) => judge(rig.joints[i]!, all[i]!).enough === true);
  if (carriers.length === 0) return true;
  const asked = askedOf(new Demand(rig), stream, carriers);
  return asked.every((one) => judge(rig.joints[one.joint]!, one).enough === true);
}

/** Joints below this one, down to the ground: axes, and the legs where it sits on the plate. */
function carriersOf({ joints, platform }: Rig, i: number): readonly number[] {
  const found: number[] = [];
  let on = joints[i]!.axis?.on ?? null;
  while (on !== null) {
    if (on === 'moving') found.push(0, 1, 2, 3, 4, 5);
    if (on === 'moving' || on === 'base') on = platform?.on ?? null;
    const carrier = joints.findIndex(({ name }) => name === on);
    if (carrier < 0) break;
    found.push(carrier);
    on = joints[carrier]!.axis?.on ?? null;
  }
  return found;
}

/** Two digits: what is bought or cut is no finer. */
const up = (value: number): number => {
  const unit = 10 ** (Math.floor(Math.log10(value)) - 1);
  return Number((Math.ceil(value / unit - 1e-9) * unit).toPrecision(2));
};

/** What is asked, with places where a remedy failed as places to hold at. */
const withHolds = (asked: Asked, more: readonly HeldAt[]): Asked => ({ ...asked, holds: [...asked.holds, ...more] });

/** The lightest at this arm. */
function counterweight(need: Need): Remedy | null {
  const { rig, joint, offer, arm_mm } = need;
  const arm = armFor(rig, joint, arm_mm);
  if (!arm) return null;
  const bare = new Demand(rig);
  const laden = new Demand(withCounterweight(rig, joint, 1, arm));
  const perKg = movingPerKg(need, laden);
  let more: readonly HeldAt[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const asked = withHolds(need.all[joint]!, more);
    const heldPerKg = asked.holds.map(({ at, effort }) => (laden.hold(at) ? laden.effort[joint]! - effort : 0));
    const kg = leastKg(need, asked, perKg, heldPerKg);
    if (kg === null) return null;
    const balanced = withCounterweight(rig, joint, kg, arm);
    const found = again(need, balanced);
    if (found.judged.enough && !carriersHold(need, balanced)) return null;
    if (found.judged.enough)
      return { kind: 'counterweight', kg, arm_mm, at_mm: arm.at_mm, offer, judged: found.judged };
    more = [...more, ...unladen(found.asked, bare, joint)];
  }
  return null;
}

/** What 1 kg adds at each tick. */
function movingPerKg({ stream, joint, all }: Need, laden: Demand): Float64Array {
  const [heavy] = askedOf(laden, stream, [joint]);
  return all[joint]!.effort.map((effort, k) => (heavy?.effort[k] ?? effort) - effort);
}

/** The hardest place of a changed rig, and what it takes there without the change. */
const unladen = ({ holds }: Asked, bare: Demand, joint: number): HeldAt[] =>
  holds.flatMap((held) =>
    held.where === 'worst' && bare.hold(held.at) ? [{ ...held, effort: bare.effort[joint]! }] : [],
  );

/** Null: none does. What it adds grows with it in a straight line, so that what is spent is convex in it. */
function leastKg(need: Need, asked: Asked, perKg: Float64Array, heldPerKg: readonly number[]): number | null {
  const joint = jointWith(need);
  const ticks = ticksOf(joint, asked);
  const spent = (kg: number): number => {
    const help: Help = {
      moving: (effort, k) => effort + kg * perKg[k]!,
      holding: (effort, n) => effort + kg * heldPerKg[n]!,
    };
    return spentOf(joint, asked, help, ticks);
  };
  const best = least(0, MOST_SPARE_KG, spent);
  if (!(best.value <= 1)) return null;
  let [lo, hi] = [0, best.x];
  while (hi - lo > 1e-3 * hi) {
    const middle = (lo + hi) / 2;
    if (spent(middle) <= 1) hi = middle;
    else lo = middle;
  }
  return up(hi);
}

/** Of a search within a search: of its range 1e-5 is left. */
const STEPS = 24;

/** Further than half a turn a torsion spring of a prop is not wound (common practice). */
const MOST_WOUND = Math.PI;

/** The torsion spring that takes most off, always wound the same way within the soft limits. */
function spring(need: Need): Remedy | null {
  const { rig, joint, offer } = need;
  const bare = new Demand(rig);
  let more: readonly HeldAt[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const best = bestSpring(jointWith(need), withHolds(need.all[joint]!, more));
    if (!best) return null;
    const found = again(need, rig, [{ joint, ...best }]);
    if (found.judged.enough)
      return {
        kind: 'spring',
        nm_per_deg: best.stiffness * toRad(1),
        free_deg: toDeg(best.free),
        offer,
        judged: found.judged,
      };
    more = [...more, ...unladen(found.asked, bare, joint)];
  }
  return null;
}

/** Two convex searches, one within the other: stiffness, and torque in the middle of the range, on either side. Null: none does. */
function bestSpring(joint: Joint, asked: Asked): Pick<AxisSpring, 'stiffness' | 'free'> | null {
  const ticks = ticksOf(joint, asked);
  const { lo, hi } = joint;
  const [middle, half] = [(lo + hi) / 2, (hi - lo) / 2];
  const most = Math.max(
    ...asked.holds.map(({ effort }) => Math.abs(effort)),
    ...Array.from(ticks.peaks ?? [], (k) => Math.abs(asked.effort[k]!)),
  );
  if (half > MOST_WOUND || !(most > 0)) return null;
  const spentBy = (stiffness: number, torque: number): number => {
    const given = (q: number): number => torque - stiffness * (q - middle);
    return spentOf(
      joint,
      asked,
      {
        moving: (effort, k) => effort - given(asked.q[k]!),
        holding: (effort, n) => effort - given(asked.holds[n]!.q),
      },
      ticks,
    );
  };
  const sides = ([1, -1] as const).map((side) => {
    const torque = (stiffness: number) =>
      least(stiffness * half, stiffness * MOST_WOUND, (size) => spentBy(stiffness, side * size), STEPS);
    const stiffest = least(0, (2 * most) / half, (stiffness) => torque(stiffness).value, STEPS);
    return { stiffness: stiffest.x, torque: side * torque(stiffest.x).x, spent: stiffest.value };
  });
  const best = sides.reduce((a, b) => (b.spent < a.spent ? b : a));
  if (!(best.spent <= 1) || !(best.stiffness > 0)) return null;
  // As a spring is ordered: two digits in N·mm/deg, and set to a degree.
  const per_deg = best.stiffness * toRad(1);
  const stiffness = Number(per_deg.toPrecision(2)) / toRad(1);
  const free = toRad(Math.round(toDeg(middle + best.torque / best.stiffness)));
  return { stiffness, free };
}
