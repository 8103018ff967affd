/** What bounds a joint, in a maker's words with figures. */
import { available, effortUnit, fastest, stallOf } from '../physics/servo-line.ts';
import { type Joint, toShown } from '../rig/rig.ts';
import { short, together } from '../rig/words.ts';
import { type Plan, fileFigures } from './plan.ts';
import type { Figures } from './result.ts';

/** A figure to so many digits as a maker would say it. */
export const figure = (value: number): string => String(Number(value.toPrecision(3)));

/** `46 deg/s, plus 458 and minus 7520 deg/s²`. */
export const figuresWords = (unit: string, { speed, plus, minus }: Figures): string =>
  `${figure(speed)} ${unit}/s, plus ${figure(plus)} and minus ${figure(minus)} ${unit}/s²`;

/** Which figures are missing, as key paths' last words. */
function missing(joint: Joint): string {
  const lacks = [
    ...(stallOf(joint) === null ? [joint.unit === 'deg' ? 'stall torque' : 'force'] : []),
    ...(fastest(joint) === null ? ['speed without load'] : []),
  ];
  const { name } = joint.servo;
  if (lacks.length > 0)
    return `the ${together(lacks)} of its servo (servos.${name}) ${lacks.length > 1 ? 'are' : 'is'} unknown`;
  return 'what it moves has no inertia that is known: give it a load, or parts with their masses';
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

/** One sentence without its stop. */
export function boundWords(plan: Plan): string {
  const { joint, outcome, could, limits, eased } = plan;
  const { unit } = joint;
  if (outcome === 'unknown') return `left alone: ${missing(joint)}`;
  const stall = stallOf(joint)!;
  const { hold, inertia } = heaviest(plan);
  const newtons = effortUnit(joint);
  const where = joint.kind === 'leg' ? 'its servo gives' : 'its servo gives at the axis';
  const holding = `holding alone takes ${figure(Math.abs(hold))} ${newtons} of the ${figure(stall)} ${newtons} ${where}`;
  if (outcome === 'cannot_hold')
    return `the load: ${holding}, and no more than ${short(joint.servo.peak_use * 100, 0)} % of that is to be spent (peak_use)`;
  const file = fileFigures(joint);
  const physical = could && {
    speed: toShown(joint, could.speed),
    plus: toShown(joint, could.plus),
    minus: toShown(joint, could.minus),
  };
  if (outcome === 'well') return `the file: its servo could go to ${figuresWords(unit, physical ?? file)}`;
  const per = inertia * (joint.unit === 'deg' ? (1000 * Math.PI) / 180 : 1000);
  const going = `speeding up by 1000 ${unit}/s² takes ${figure(per)} ${newtons}`;
  const others = joint.kind === 'leg' ? ' with the other legs against it' : '';
  const left = available(joint, limits.speed / toShown(joint, 1), 1)!;
  const speed = `at ${figure(limits.speed)} ${unit}/s ${figure(left)} ${newtons} are left`;
  const heavy = Math.abs(hold) > HEAVY * stall;
  const way = heavy ? (hold > 0 ? 'raising the load (plus)' : 'raising the load (minus)') : 'setting the load going';
  const gentler = eased ? '; the simulated servo wanted it gentler still, since it starts and stops with a jolt' : '';
  return heavy
    ? `${way}: ${holding}, and ${going}${others}; ${speed}${gentler}`
    : `${way}: ${going}${others}, of the ${figure(stall)} ${newtons} ${where}; ${speed}${gentler}`;
}
