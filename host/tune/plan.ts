/** Limits for every joint of a rig from its physics, rounded to what is worth writing down. Simulates nothing. */
import { type Caps, type LegPlace, type Limits, type LimitsOrWhy, type Place, legLimits } from '../physics/servo/limits.ts';
import { capsOf, fullRange, limitsOf } from '../physics/servo/limits.ts';
import { type Gap, Mechanism } from '../physics/dynamics/mechanism.ts';
import { type Posture, axisPlaces, legPlaces, standingPostures } from '../physics/dynamics/places.ts';
import { type Joint, type Rig, toShown } from '../rig/rig.ts';
import type { Figures, Outcome, Seen } from './result.ts';

/** A joint, or all legs, and what it feels. */
interface Moved {
  readonly name: string;
  readonly path: readonly [string, string];
  /** It, or leg1 for the legs. */
  readonly joint: Joint;
  /** Which joints of the rig these limits are for. */
  readonly members: readonly number[];
  /** What it feels: over its range, or the legs at poses. */
  readonly places: readonly Place[];
  readonly legPlaces: readonly LegPlace[];
  /** From one soft limit to the other, rad or mm. */
  readonly range: number;
  /** Figures of its inertia that the file does not give, by key path: what its servo could do beyond the file nobody knows. */
  readonly untold: readonly string[];
  /** What its limits are not to exceed. */
  readonly caps: Caps;
  /** What its servo can keep, not exceeding some caps. */
  readonly within: (caps: Caps) => LimitsOrWhy;
}

/** What is to become of it. */
export interface Plan extends Moved {
  readonly outcome: Outcome;
  readonly limits: Figures;
  readonly could: Limits | null;
  /** Lower than torque alone would have it, since the simulated metal still jerked. */
  readonly eased: boolean;
  readonly full_range_s: { readonly before: number; readonly after: number };
}

/** As many digits as a limit is worth. */
const DIGITS = 3;

/** Downward, so that what was enough stays enough. */
export function roundedDown(value: number): number {
  if (!Number.isFinite(value)) return value;
  const unit = 10 ** (Math.floor(Math.log10(value)) - DIGITS + 1);
  const down = Math.floor(value / unit + 1e-9) * unit;
  return Number(down.toPrecision(DIGITS));
}

/** Every figure of some limits, changed alike. */
export function eachOf(figures: Figures, change: (value: number, key: keyof Figures) => number): Figures {
  const one = (key: keyof Figures): number => change(figures[key], key);
  return {
    speed: one('speed'),
    plus: one('plus'),
    minus: one('minus'),
    plus_gone: one('plus_gone'),
    minus_gone: one('minus_gone'),
  };
}

const FIGURES = ['speed', 'plus', 'minus', 'plus_gone', 'minus_gone'] as const;

/** In degrees, or mm for linear legs. */
export const shownFigures = (joint: Joint, figures: Figures): Figures =>
  eachOf(figures, (value) => toShown(joint, value));

/** As the file has them, free of what converting to rad and back adds. */
export function fileFigures(joint: Joint): Figures {
  return eachOf(shownFigures(joint, joint), (value) => Number(value.toPrecision(12)));
}

/** Postures in which weights are looked at: of a stream when there are some, else such as the rig can take. */
export function posturesOf(rig: Rig, ofStream: readonly Posture[] | null): readonly Posture[] {
  if (ofStream && ofStream.length > 0) return ofStream;
  return standingPostures(rig);
}

/** What the file does not say of a joint's inertia and could, as key paths; the bars of legs weigh little beside what they carry. */
function untoldOf(rig: Rig, gaps: readonly Gap[], members: readonly number[]): string[] {
  const names = members.map((i) => rig.joints[i]!.name);
  // A screw's motor has no key.
  const isTurning = members.every((i) => rig.joints[i]!.servo.drive === 'rotary');
  return gaps
    .filter(
      ({ path, joints }) =>
        !/^platform\./.test(path) &&
        (isTurning || !/^servos\./.test(path)) &&
        joints.some((name) => names.includes(name)),
    )
    .map(({ path }) => (/^joints\.[^.]+$/.test(path) ? `${path}.load` : path));
}

/** @param faster limits may rise above the file's, of joints whose inertia is known. */
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
  const range = Math.max(...legs.map(({ lo, hi }) => hi - lo));
  const members = legs.map((_, i) => i);
  const untold = untoldOf(rig, mechanism.gaps, members);
  return planOf({
    name: 'legs',
    path: ['motion', 'leg'],
    joint: legs[0]!,
    members,
    untold,
    places: [],
    legPlaces: places,
    range,
    caps: faster && untold.length === 0 ? {} : capsOf(legs[0]!),
    within: (caps) => legLimits(legs, places, caps),
  });
}

function planAxis(rig: Rig, mechanism: Mechanism, i: number, postures: readonly Posture[], faster: boolean): Plan {
  const joint = rig.joints[i]!;
  const places = axisPlaces(rig, mechanism, i, postures);
  const untold = untoldOf(rig, mechanism.gaps, [i]);
  return planOf({
    name: joint.name,
    path: ['joints', joint.name],
    joint,
    members: [i],
    untold,
    places,
    legPlaces: [],
    range: joint.hi - joint.lo,
    caps: faster && untold.length === 0 ? {} : capsOf(joint),
    within: (caps) => limitsOf(joint, places, caps),
  });
}

function planOf(moved: Moved): Plan {
  const { joint, range } = moved;
  const file = fileFigures(joint);
  const before = fullRange(range, joint);
  const found = moved.within(moved.caps);
  // Beyond the file by a guess is no answer.
  const could = moved.untold.length === 0 ? moved.within({}) : null;
  if ('none' in found || (could && 'none' in could)) {
    const outcome = 'none' in found ? found.none : could && 'none' in could ? could.none : 'unknown';
    return { ...moved, outcome, limits: file, could: null, eased: false, full_range_s: { before, after: before } };
  }
  const limits = worthWriting(file, shownFigures(joint, found));
  const same = FIGURES.every((key) => limits[key] === file[key]);
  const after = same ? before : fullRange(toShown(joint, range), limits);
  return {
    ...moved,
    outcome: same ? 'well' : 'tuned',
    limits,
    could,
    eased: false,
    full_range_s: { before, after },
  };
}

/** The new figures, but the file's own where they hardly differ. */
function worthWriting(file: Figures, found: Figures): Figures {
  return eachOf(found, (value, key) => (Math.abs(value / file[key] - 1) <= 1e-9 ? file[key] : roundedDown(value)));
}

/** Rounds of easing in which only one way is slowed, the one that the servo lacked effort in: that costs the least time. */
export const ONE_WAY_ROUNDS = 6;
/** What a later round leaves of all limits (ours). */
const ALL = 0.85;

/**
 * The plan with gentler limits, for a joint whose simulated servo still jerked.
 * @param round counted from 0; @param pushes which way it lacked effort; @param share what is to be left of that way's limit.
 */
export function eased(plan: Plan, round: number, pushes: Seen['pushes'], share: number): Plan {
  const { joint, limits, full_range_s, range } = plan;
  const oneWay = round < ONE_WAY_ROUNDS;
  const by = oneWay ? share : ALL;
  const now = eachOf(limits, (value) => value / toShown(joint, 1));
  const caps: Caps = {
    ...plan.caps,
    speed: oneWay ? now.speed : now.speed * by,
    plus: oneWay && pushes < 0 ? now.plus : now.plus * by,
    minus: oneWay && pushes > 0 ? now.minus : now.minus * by,
    use: (plan.caps.use ?? joint.servo.peak_use) * (oneWay ? 1 : by),
  };
  const found = plan.within(caps);
  if ('none' in found) return plan;
  const gentler = eachOf(shownFigures(joint, found), roundedDown);
  const after = fullRange(toShown(joint, range), gentler);
  return { ...plan, caps, limits: gentler, outcome: 'tuned', eased: true, full_range_s: { ...full_range_s, after } };
}
