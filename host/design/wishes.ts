/**
 * What a want asks, wish by wish: by how much a design falls short of each, and what it gives instead; and what no wish can change,
 * since it would be no platform. Shares of what is asked, so that 1 is a lot; written so that NaN falls short.
 */
import { whatStops } from '../physics/kinematics/inverse.ts';
import { AXES, AXIS_NAMES, unitOf, shownAs } from '../reach/axes.ts';
import { faceWell } from '../rig/facing.ts';
import { type Joint, type Pose, toShown } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import type { Design } from './design.ts';
import type { Ask } from './evaluate/ask.ts';
import { candidatePlatform, legLimits, reachingRig } from './evaluate/candidate-rig.ts';
import { AT } from './figures.ts';
import { type Want, isDriven } from './want/want.ts';

type Figures = Float64Array;
/** A number, or [lowest, highest], in the unit of the want file's key. */
export type Amount = number | readonly [number, number];

/** One wish of the want file. */
export interface Wish {
  /** Its key path. */
  readonly path: string;
  readonly unit: string;
  readonly asked: Amount;
  /** It is asked to be no more, so that it is relaxed upwards; else no less. */
  readonly atMost: boolean;
  /** What is left of it, as a share of what is asked; below 0: it falls short by as much. */
  slack(figures: Figures, design: Design): number;
  /** What the design gives of it. */
  given(figures: Figures, design: Design): Amount;
}

/** A share by which something falls short: 0 for less than nothing, beyond a whole it grows slowly, and NaN is as bad as can be. */
export function shortfall(share: number): number {
  if (share <= 0) return 0;
  if (!(share < Infinity)) return WORST;
  return share <= 1 ? share : Math.min(WORST, 1 + Math.log(share));
}

const WORST = 20;

/** Less than this is the arithmetic's, not the design's. */
const SLACK = 1e-9;
const above = (want: number, have: number): number => (have - want) / Math.abs(want);
const below = (most: number, have: number): number => (most - have) / Math.abs(most);

/** 0: the wish is held; more: by what share it is not. */
export const shortOf = (wish: Wish, figures: Figures, design: Design): number =>
  shortfall(-wish.slack(figures, design) - SLACK);

/** In the order of the want file. @param axes of the figures' axis rows, as indices of the rig's joints */
export function wishesOf(want: Want, axes: readonly number[]): Wish[] {
  return [
    ...travelWishes(want),
    ...otherMusts(want),
    ...roomWishes(want),
    clearanceWish(want),
    ...firmWishes(want, axes),
    ...axisWishes(want, axes),
  ];
}

function travelWishes({ must }: Want): Wish[] {
  const spare = 1 + must.spare_travel;
  return AXES.flatMap((axis): Wish[] => {
    const { minus, plus } = must.travel[axis] ?? { minus: 0, plus: 0 };
    if (minus === 0 && plus === 0) return [];
    const unit = unitOf(axis);
    const isEven = -minus === plus;
    const shown = (share: number): Amount => {
      const [lo, hi] = [settled(shownAs(axis, minus) * share), settled(shownAs(axis, plus) * share)];
      return isEven ? hi : [lo, hi];
    };
    // Of what is asked with its spare travel, the lesser way.
    const share = (figures: Figures): number => {
      const down = minus === 0 ? Infinity : figures[AT.travel + 2 * axis]! / (-minus * spare);
      const up = plus === 0 ? Infinity : figures[AT.travel + 2 * axis + 1]! / (plus * spare);
      return Math.min(down, up);
    };
    return [
      {
        path: `must.${AXIS_NAMES[axis]}_${unit}`,
        unit,
        asked: shown(1),
        atMost: false,
        slack: (figures) => share(figures) - 1,
        given: (figures) => shown(Math.min(1, share(figures))),
      },
    ];
  });
}

const settled = (value: number): number => Number(value.toFixed(6)) || 0;

function otherMusts({ must }: Want): Wish[] {
  const { together, follow } = must;
  const isAsked = together > 0 && must.travel.some(({ minus, plus }) => minus < 0 || plus > 0);
  const wishes: Wish[] = isAsked
    ? [
        {
          path: 'must.together',
          unit: '',
          asked: together,
          atMost: false,
          slack: (figures) => above(together, figures[AT.together]!),
          given: (figures) => Math.max(0, settled(figures[AT.together]!)),
        },
      ]
    : [];
  if (!follow) return wishes;
  return [
    ...wishes,
    {
      path: 'must.follow',
      unit: '',
      asked: 1,
      atMost: false,
      slack: (figures) => (figures[AT.stream_short]! <= 0 ? 1 : -figures[AT.stream_short]! * FOLLOW),
      given: (figures) => (figures[AT.stream_short]! <= 0 ? 1 : 0),
    },
  ];
}

/** A tenth of a rod out of reach is a lot. */
const FOLLOW = 10;

function roomWishes({ room }: Want): Wish[] {
  return [
    {
      path: 'room.height_mm',
      unit: 'mm',
      asked: room.height_mm,
      atMost: true,
      slack: (figures) => below(room.height_mm, figures[AT.height]!),
      given: (figures) => settled(figures[AT.height]!),
    },
  ];
}

/** So many gaps are a lot. */
const GAP = 10;

function clearanceWish({ clearance: { gap_mm } }: Want): Wish {
  return {
    path: 'clearance.gap_mm',
    unit: 'mm',
    asked: gap_mm,
    atMost: false,
    slack: (figures) => (figures[AT.clearance]! - gap_mm) / (GAP * Math.max(1, gap_mm)),
    given: (figures) => Math.max(0, settled(figures[AT.clearance]!)),
  };
}

/** The largest of a figure of the legs and of axes that are designed: `rows` by axis. */
function largest(free: Want['axes'], axes: readonly number[], legs: number, rows: number) {
  const own = free.map(({ index }) => axes.indexOf(index)).filter((k) => k >= 0);
  return (figures: Figures): number => own.reduce((most, k) => Math.max(most, figures[rows + k]!), figures[legs]!);
}

/** Largest share of a servo along the stream: of legs, and of axes whose servo or gear is free. */
export const usedAlong = ({ axes: free }: Want, axes: readonly number[]) =>
  largest(free.filter(isDriven), axes, AT.use, AT.axis_use);

/** Largest share of a servo's stall torque that holds: of legs, and of all axes that are designed. */
export const usedToHold = ({ axes: free }: Want, axes: readonly number[]) =>
  largest(free, axes, AT.hold_use, AT.axis_hold_use);

function firmWishes(want: Want, axes: readonly number[]): Wish[] {
  const { firm, must } = want;
  const most = (path: string, limit: number, of: (figures: Figures) => number): Wish => ({
    path,
    unit: '',
    asked: limit,
    atMost: true,
    slack: (figures) => below(limit, of(figures)),
    given: (figures) => settled(of(figures)),
  });
  const hz: Wish = {
    path: 'firm.lowest_hz',
    unit: 'Hz',
    asked: firm.lowest_hz,
    atMost: false,
    slack: (figures) => above(firm.lowest_hz, figures[AT.lowest_hz]!),
    given: (figures) => Math.max(0, settled(figures[AT.lowest_hz]!)),
  };
  return [
    ...(firm.lowest_hz > 0 ? [hz] : []),
    ...(must.follow ? [most('firm.use', firm.use, usedAlong(want, axes))] : []),
    most('firm.hold_use', firm.hold_use, usedToHold(want, axes)),
  ];
}

/** Torque that the servo of an axis gives to hold. */
function axisWishes({ axes: free }: Want, axes: readonly number[]): Wish[] {
  return free.flatMap(({ joint, index, most_nm }): Wish[] => {
    const row = axes.indexOf(index);
    if (most_nm === null || row < 0) return [];
    const held = (figures: Figures): number => figures[AT.axis_most + row]!;
    return [
      {
        path: `axes.${joint}.most_nm`,
        unit: 'N·m',
        asked: most_nm,
        atMost: true,
        slack: (figures) => below(most_nm, held(figures)),
        given: (figures) => settled(held(figures)),
      },
    ];
  });
}

/** What makes it no platform at all, each 0 where all is well: home, firmness, the rest pose, plates that face each other, pulses. */
export function faultsOf(want: Want, ask: Ask): (figures: Figures, design: Design) => readonly number[] {
  const { rest } = want.base.platform!;
  const rests = rest.some((value) => value !== 0);
  return (figures, design) => {
    const stands = figures[AT.stands] === 1;
    return [
      stands ? 0 : 1 + shortfall(figures[AT.home_short]!),
      figures[AT.unstable] === 0 ? 0 : 1,
      ...(stands ? placed(ask, design, figures, rests ? rest : null) : [0.5, 0.5]),
      shortfall(pulsesBeyond(want, design)),
    ];
  };
}

/** What each of them is, in words without a stop. */
export const FAULT_WORDS = [
  'its legs do not reach home within their limits',
  'gravity pulls it over',
  'it does not reach its rest pose',
  'its plates do not face each other: legs run side by side, cross, or hold little against turning',
  'a joint’s pulses go beyond the range of its servo',
] as const;
export const FAULTS = FAULT_WORDS.length;

/** Whether it does not reach its rest pose, and whether its plates face each other wrongly, as `check` sees it. */
function placed(ask: Ask, design: Design, figures: Figures, rest: Pose | null): readonly [number, number] {
  const standing = { ...design, home_z_mm: figures[AT.home_z]! };
  const platform = candidatePlatform(ask, standing);
  if (!platform) return [0.5, 0.5];
  const rests = rest === null || whatStops(reachingRig(ask, standing, platform), rest) === null;
  return [rests ? 0 : 0.5, faceWell(platform) ? 0 : 0.5];
}

/** By what share of their range the widest pulses lie beyond it: of axes with another gear or servo, and of legs with other limits or strokes. */
function pulsesBeyond({ base, servos, own_limits }: Want, design: Design): number {
  let most = 0;
  const look = (
    joint: Joint,
    choice: Want['servos'][number] | undefined,
    gear: number,
    ends: readonly number[],
    centre = joint.centre,
  ): void => {
    const [low, high] = choice?.range_us ?? joint.range_us;
    const scale = choice ? choice.us_per_shown * gear : toUnit(joint) * (gear / joint.gear_ratio);
    const centre_us = choice?.centre_us ?? joint.centre_us;
    for (const end of ends) {
      const pulse = centre_us + joint.sense * scale * (toShown(joint, end) - toShown(joint, centre));
      most = Math.max(most, (low - pulse) / (high - low), (pulse - high) / (high - low));
    }
  };
  const { limits, stroke_mm } = design;
  // The middle of a stroke is where its pulse is centre_us.
  const middle = stroke_mm ? (stroke_mm[0] + stroke_mm[1]) / 2 : undefined;
  if (limits || stroke_mm || design.servo >= 0)
    for (const [i, joint] of base.joints.slice(0, 6).entries())
      look(joint, servos[design.servo], 1, legLimits(base, design, i, own_limits[i]!), middle);
  for (const { joint: name, gear_ratio, servo } of design.axes) {
    const joint = base.joints.find((other) => other.name === name)!;
    look(joint, servos[servo], gear_ratio ?? joint.gear_ratio, [joint.lo, joint.hi]);
  }
  return most;
}

/** us per shown unit, gear ratio included. */
const toUnit = (joint: Joint): number => joint.us_per_unit / toShown(joint, 1);

/** An amount as it stands in a want file. */
export const amountWords = (amount: Amount, unit: string): string => {
  const digits = unit === '' || unit === 'N·m' ? 3 : 1;
  const [text, tail] = [(value: number) => short(value, digits), unit === '' ? '' : ` ${unit}`];
  return typeof amount === 'number' ? `${text(amount)}${tail}` : `${text(amount[0])} … ${text(amount[1])}${tail}`;
};
