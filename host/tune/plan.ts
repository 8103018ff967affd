/** Limits for every joint of a rig from its physics, rounded to what is worth writing down. Simulates nothing. */
import { type LegPlace, type Limits, type LimitsOrWhy, type Place, legLimits } from '../physics/limits.ts';
import { capsOf, limitsOf, moveTime } from '../physics/limits.ts';
import { Mechanism } from '../physics/mechanism.ts';
import { type Posture, axisPlaces, legPlaces, standingPostures } from '../physics/places.ts';
import { type Joint, type Rig, toShown } from '../rig/rig.ts';
import type { Figures, Outcome } from './result.ts';

/** What is to become of a joint, or of all legs. */
export interface Plan {
  readonly name: string;
  readonly path: readonly [string, string];
  /** It, or leg1 for the legs. */
  readonly joint: Joint;
  /** Which joints of the rig these limits are for. */
  readonly members: readonly number[];
  readonly outcome: Outcome;
  readonly limits: Figures;
  readonly could: Limits | null;
  /** Lower than torque alone would have it, since the simulated metal still jerked. */
  readonly eased: boolean;
  readonly full_range_s: { readonly before: number; readonly after: number };
  /** What it feels: over its range, or the legs at poses. */
  readonly places: readonly Place[];
  readonly legPlaces: readonly LegPlace[];
}

/** As many digits as a limit is worth. */
const DIGITS = 3;

/** Downward, so that what was enough stays enough. */
export function roundedDown(value: number): number {
  const unit = 10 ** (Math.floor(Math.log10(value)) - DIGITS + 1);
  const down = Math.floor(value / unit + 1e-9) * unit;
  return Number(down.toPrecision(DIGITS));
}

const shownFigures = (joint: Joint, { speed, plus, minus }: Figures): Figures => ({
  speed: toShown(joint, speed),
  plus: toShown(joint, plus),
  minus: toShown(joint, minus),
});

/** As the file has them, free of what converting to rad and back adds. */
export function fileFigures(joint: Joint): Figures {
  const { speed, plus, minus } = shownFigures(joint, joint);
  const clean = (value: number): number => Number(value.toPrecision(12));
  return { speed: clean(speed), plus: clean(plus), minus: clean(minus) };
}

/** s from one soft limit to the other, either way. */
const fullRange = (range: number, { speed, plus, minus }: Figures): number =>
  moveTime(range, { speed, start: plus, stop: minus });

/** Postures in which weights are looked at: of a stream when there are some, else such as the rig can take. */
export function posturesOf(rig: Rig, ofStream: readonly Posture[] | null): readonly Posture[] {
  if (ofStream && ofStream.length > 0) return ofStream;
  return standingPostures(rig);
}

/** @param faster limits may rise above the file's. */
export function planLimits(rig: Rig, postures: readonly Posture[], faster: boolean): Plan[] {
  const mechanism = new Mechanism(rig);
  const legs = rig.joints.filter(({ kind }) => kind === 'leg');
  const plans = legs.length > 0 ? [planLegs(rig, mechanism, legs, postures, faster)] : [];
  rig.joints.forEach((joint, i) => {
    if (joint.kind !== 'leg') plans.push(planAxis(rig, mechanism, i, postures, faster));
  });
  return plans;
}

function planLegs(
  rig: Rig,
  mechanism: Mechanism,
  legs: readonly Joint[],
  postures: readonly Posture[],
  faster: boolean,
): Plan {
  const places = legPlaces(rig, mechanism, postures);
  const joint = legs[0]!;
  const found = legLimits(legs, places, faster ? {} : capsOf(joint));
  const could = legLimits(legs, places);
  const range = Math.max(...legs.map(({ lo, hi }) => hi - lo));
  const plan = planOf(joint, range, found, could);
  const members = legs.map((_, i) => i);
  return { ...plan, name: 'legs', path: ['motion', 'leg'], members, places: [], legPlaces: places };
}

function planAxis(rig: Rig, mechanism: Mechanism, i: number, postures: readonly Posture[], faster: boolean): Plan {
  const joint = rig.joints[i]!;
  const places = axisPlaces(rig, mechanism, i, postures);
  const found = limitsOf(joint, places, faster ? {} : capsOf(joint));
  const plan = planOf(joint, joint.hi - joint.lo, found, limitsOf(joint, places));
  return { ...plan, name: joint.name, path: ['joints', joint.name], members: [i], places, legPlaces: [] };
}

type Core = Pick<Plan, 'joint' | 'outcome' | 'limits' | 'could' | 'eased' | 'full_range_s'>;

function planOf(joint: Joint, range: number, found: LimitsOrWhy, physical: LimitsOrWhy): Core {
  const file = fileFigures(joint);
  const before = fullRange(range, joint);
  if ('none' in found || 'none' in physical) {
    const outcome = 'none' in found ? found.none : 'none' in physical ? physical.none : 'unknown';
    return { joint, outcome, limits: file, could: null, eased: false, full_range_s: { before, after: before } };
  }
  const limits = worthWriting(file, shownFigures(joint, found));
  const same = limits.speed === file.speed && limits.plus === file.plus && limits.minus === file.minus;
  const unit = toShown(joint, 1);
  const after = same ? before : fullRange(range * unit, limits);
  return {
    joint,
    outcome: same ? 'well' : 'tuned',
    limits,
    could: physical,
    eased: false,
    full_range_s: { before, after },
  };
}

/** The new figures, but the file's own where they hardly differ. */
function worthWriting(file: Figures, found: Figures): Figures {
  const one = (key: keyof Figures): number =>
    Math.abs(found[key] - file[key]) <= 1e-9 * file[key] ? file[key] : roundedDown(found[key]);
  return { speed: one('speed'), plus: one('plus'), minus: one('minus') };
}

/** Rounds of easing in which only the way that the load falls is slowed, which costs the least time. */
export const FALLING_ROUNDS = 4;
/** What a round leaves of a limit (ours). */
const [FALLING, ALL] = [0.7, 0.85];

/** The plan with gentler limits, for a joint whose simulated servo still jerked; round counts from 0. */
export function eased(plan: Plan, round: number, hold: number): Plan {
  const { speed, plus, minus } = plan.limits;
  const falls = round < FALLING_ROUNDS;
  const by = falls ? FALLING : ALL;
  const limits = {
    speed: falls ? speed : roundedDown(speed * by),
    plus: falls && hold > 0 ? plus : roundedDown(plus * by),
    minus: falls && hold < 0 ? minus : roundedDown(minus * by),
  };
  const { joint, full_range_s } = plan;
  const range = toShown(joint, joint.hi - joint.lo);
  return {
    ...plan,
    limits,
    outcome: 'tuned',
    eased: true,
    full_range_s: { ...full_range_s, after: fullRange(range, limits) },
  };
}
