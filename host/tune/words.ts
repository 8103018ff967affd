/** What bounds a joint, in a maker's words with figures. */
import { available, effortUnit, fastest, frictionOf, stallOf } from '../physics/servo/servo-line.ts';
import { TOLERANCE } from '../replay/tolerance.ts';
import { frictionWords, rubsMuch } from '../rig/friction.ts';
import { toShown } from '../rig/rig.ts';
import { short, together } from '../rig/words.ts';
import { type Plan, fileFigures, shownFigures } from './plan.ts';
import type { Figures, TuneAnswer, TunedJoint } from './result.ts';

/** A figure to so many digits as a maker would say it. */
export const figure = (value: number): string => String(Number(value.toPrecision(3)));

/** `plus falls with speed, to zero at 46 deg/s`; null: neither does. */
export function fadeWords(unit: string, { plus_gone, minus_gone }: Figures): string | null {
  const ends = Object.entries({ plus: plus_gone, minus: minus_gone }).filter(([, speed]) => Number.isFinite(speed));
  if (ends.length === 0) return null;
  const at = together(ends.map(([name, speed]) => `${ends.length > 1 ? `${name} ` : ''}at ${figure(speed)} ${unit}/s`));
  return `${together(ends.map(([name]) => name))} ${ends.length > 1 ? 'fall' : 'falls'} with speed, to zero${ends.length > 1 ? ':' : ''} ${at}`;
}

/**
 * `zero at 121 deg/s`, `zero at 121 → 99.5 deg/s`, or `zero at 121 deg/s → never` for one that falls no more: the speed at which plus
 * or minus has fallen to zero, before and after. Null: it never does.
 */
export function goneWords(
  { file, limits, unit }: Pick<TunedJoint, 'file' | 'limits' | 'unit'>,
  key: 'plus' | 'minus',
  say: (value: number) => string = String,
): string | null {
  const [was, is] = [file[`${key}_gone`], limits[`${key}_gone`]];
  const ends = [was, is].filter((value, k) => Number.isFinite(value) && (k === 0 || value !== was));
  if (ends.length === 0) return null;
  return `zero at ${ends.map(say).join(' → ')} ${unit}/s${Number.isFinite(is) ? '' : ' → never'}`;
}

/** `46 deg/s, and from rest 458 deg/s² upward and 7520 deg/s² downward`. */
export function figuresWords(unit: string, { speed, plus, minus }: Figures): string {
  return `${figure(speed)} ${unit}/s, and from rest ${figure(plus)} ${unit}/s² upward and ${figure(minus)} ${unit}/s² downward`;
}

/** Which figures are missing, as key paths' last words. */
function missing({ joint, legPlaces }: Plan): string {
  const lacks = [
    ...(stallOf(joint) === null ? [joint.unit === 'deg' ? 'stall torque' : 'force'] : []),
    ...(fastest(joint) === null ? ['no-load speed'] : []),
  ];
  const { name } = joint.servo;
  if (lacks.length > 0)
    return `the ${together(lacks)} of its servo (servos.${name}) ${lacks.length > 1 ? 'are' : 'is'} unknown`;
  if (joint.kind === 'leg' && legPlaces.length === 0)
    return 'no pose was found in which the legs hold the plate firmly: "posewright reach" says where it hangs loose';
  return 'the inertia of what it moves is unknown: give it a load, or parts with their masses';
}

/** Heaviest hold over what it feels, with its sign, and the most inertia. */
export function heaviest({ places, legPlaces }: Plan): { hold: number; inertia: number } {
  const holds = [...places.map(({ hold }) => hold), ...legPlaces.flatMap(({ hold }) => hold)];
  const inertias = [...places.map(({ inertia }) => inertia), ...legPlaces.flatMap(({ inertia }) => inertia)];
  return {
    hold: holds.reduce((most, hold) => (Math.abs(hold) > Math.abs(most) ? hold : most), 0),
    inertia: Math.max(0, ...inertias),
  };
}

/** Below this share of the stall torque holding is not what bounds. */
const HEAVY = 0.1;

/** What the stream asks beyond the limits, a sentence each without its stop. */
export const lateWords = ({ late, stream }: TuneAnswer): string[] =>
  late.map(({ name, unit, before, after, past_before, past_after, carries_nothing }) => {
    const isLegs = name === 'legs';
    const filed = (value: number): string => `(${value.toFixed(1)} ${unit} with the file’s limits)`;
    const asks = `${stream ?? 'the stream'} asks`;
    const behind = `${isLegs ? 'fall' : 'falls'} up to ${after.toFixed(1)} ${unit} behind what ${asks} ${filed(before)}`;
    const past = `${isLegs ? 'go' : 'goes'} up to ${past_after.toFixed(1)} ${unit} past everything that ${asks} ${filed(past_before)}`;
    const isPast = past_after > TOLERANCE[unit];
    const said = [...(isPast ? [past] : []), ...(!isPast || after > past_after + TOLERANCE[unit] ? [behind] : [])];
    const cure = carries_nothing
      ? '"posewright retime" softens its moves there without slowing anything else'
      : '"posewright retime" slows the stream there';
    return `${isLegs ? 'the legs' : name} ${said.join(' and ')}: ${cure}`;
  });

/** One sentence without its stop. */
export function boundWords(plan: Plan): string {
  const { joint, outcome, could, limits, eased, untold } = plan;
  const { unit } = joint;
  if (outcome === 'unknown') return `left alone: ${missing(plan)}`;
  const stall = stallOf(joint)!;
  const { hold, inertia } = heaviest(plan);
  const newtons = effortUnit(joint);
  const where = joint.kind === 'leg' ? 'its servo gives' : 'its servo gives at the axis';
  const holding = `holding alone takes ${figure(Math.abs(hold))} ${newtons} of the ${figure(stall)} ${newtons} ${where}`;
  if (outcome === 'cannot_hold' && rubsMuch(joint.servo))
    return `friction: ${frictionWords(joint.servo)}; ${holding}, and at most ${short(joint.servo.peak_use * 100, 0)} % of that may be used (peak_use)`;
  if (outcome === 'cannot_hold')
    return `the load: ${holding}, and at most ${short(joint.servo.peak_use * 100, 0)} % of that may be used (peak_use)`;
  const file = fileFigures(joint);
  const physical = could && shownFigures(joint, could);
  if (outcome === 'well' && untold.length > 0)
    return `unchanged, and not raised, since part of what it moves is unknown: give ${together(untold)}`;
  if (outcome === 'well')
    return `unchanged: ${joint.kind === 'leg' ? 'their servos' : 'its servo'} could do ${figuresWords(unit, physical ?? file)}`;
  const per = inertia * (joint.unit === 'deg' ? (1000 * Math.PI) / 180 : 1000);
  const going = `accelerating by 1000 ${unit}/s² takes ${figure(per)} ${newtons}`;
  const others = joint.kind === 'leg' ? ' with the other legs working against it' : '';
  const rub = frictionOf(joint);
  const rubs = rub > 0 ? `, dry friction ${figure(rub)} ${newtons} more` : '';
  const heavy = Math.abs(hold) > HEAVY * stall;
  const top = Math.min(limits.speed, hold > 0 ? limits.plus_gone : limits.minus_gone);
  const left = available(joint, top / toShown(joint, 1), 1)!;
  const speed = `at ${figure(top)} ${unit}/s ${figure(left)} ${newtons} are left`;
  const way = heavy
    ? hold > 0
      ? 'limited by raising the load (plus)'
      : 'limited by raising the load (minus)'
    : 'limited by moving the load';
  const fades = fadeWords(unit, limits);
  const fading = fades === null ? '' : `, so ${fades}`;
  const gentler = eased ? '; the simulation needed it lower still, since moves start and stop with a jolt' : '';
  return heavy
    ? `${way}: ${holding}, and ${going}${others}${rubs}; ${speed}${fading}${gentler}`
    : `${way}: ${going}${others}${rubs}, of the ${figure(stall)} ${newtons} ${where}; ${speed}${fading}${gentler}`;
}
