/** Figures in the words of `why`: every one with its unit; efforts and shares as `load` says them. */
import { effortName, effortWords, percent, placeWords } from '../load/words.ts';
import type { Bounds } from '../physics/servo/limits.ts';
import { milliseconds } from '../replay/verdict.ts';
import { type Joint, toShown } from '../rig/rig.ts';
import { short } from '../rig/words.ts';
import type { JointFacts } from './facts.ts';
import type { Cause, Trial } from './result.ts';

/** What a servo gives at a standstill is called. */
export const stallWords = ({ unit }: Pick<Joint, 'unit'>): string => (unit === 'deg' ? 'stall torque' : 'stall force');
export const ampere = (value: number): string => `${value.toFixed(1)} A`;
export const seconds = (value: number): string => `${value.toFixed(2)} s`;
/** A coordinate in shown units. */
export const place = (joint: Joint, shown: number): string => `${short(shown, 0)} ${joint.unit}`;

/** Three digits, as tune has them; two are enough for what is small. */
const rate = (shown: number): string =>
  shown < 9.95 ? Number(shown.toPrecision(2)).toString() : Number(shown.toPrecision(3)).toString();
export const speed = (joint: Joint, value: number): string => `${rate(toShown(joint, value))} ${joint.unit}/s`;
export const accel = (joint: Joint, value: number): string => `${rate(toShown(joint, value))} ${joint.unit}/s²`;

/** Behind figures that miss a weight. */
export const weighedWords = ({ isPartlyWeighed }: Pick<JointFacts, 'isPartlyWeighed'>): string =>
  isPartlyWeighed ? ', not counting weights missing in the file' : '';

/** What a joint has to hold at worst, at its servo, as in `nod holds up to 0.62 N·m, 33 % of its stall torque`. */
export function holdWords(facts: JointFacts): string {
  const { joint, load } = facts;
  const held = load?.worst;
  if (held?.loose)
    return `within its soft limits the plate reaches a pose in which it hangs loose, and no torque of ${joint.name} and the other legs holds it`;
  if (!load || held?.effort == null) return `what ${joint.name} has to hold is unknown`;
  if (facts.isPartlyWeighed && held.effort === 0)
    return `what ${joint.name} has to hold is unknown, since weights are missing`;
  const share = held.use === null ? '' : `, ${percent(held.use)} of its ${stallWords(joint)}`;
  const geared = joint.gear_ratio === 1 ? '' : ' at its servo';
  return `${joint.name} holds up to ${effortWords(held.effort, load.unit)}${geared}${share}${weighedWords(facts)}`;
}

/** Where that is; '' where it is not known. */
export const heldAtWords = ({ load }: JointFacts): string =>
  !load || load.worst.loose || load.worst.effort === null ? '' : ` (at ${placeWords(load.worst.at)})`;

/** A sentence of words that have no stop; the name of a joint keeps its small letter. */
export function sentence(words: string, names: readonly string[]): string {
  const first = /^[^\s,:]+/.exec(words)?.[0] ?? '';
  const start = names.includes(first) ? words : `${words.slice(0, 1).toUpperCase()}${words.slice(1)}`;
  return `${start.replace(/\.$/, '')}.`;
}

/** `at most 77 deg/s; acceleration from rest 1500 deg/s² upward, less with speed and none from 67 deg/s on, and 735 deg/s² downward`. */
export function limitsWords(joint: Joint, limits: Bounds): string {
  const fading = (value: number, way: string, gone: number): string =>
    `${accel(joint, value)} ${way}${Number.isFinite(gone) ? `, less with speed and none from ${speed(joint, gone)} on` : ''}`;
  const { plus, minus, plus_gone, minus_gone } = limits;
  const up = fading(plus, 'upward', plus_gone);
  return `at most ${speed(joint, limits.speed)}; acceleration from rest ${up}${Number.isFinite(plus_gone) ? ',' : ''} and ${fading(minus, 'downward', minus_gone)}`;
}

/** Digits enough for a swing that is hardly seen. */
const swing = (value: number): string => (value < 0.095 ? value.toFixed(2) : value.toFixed(1));

/** What the simulated prop does in a trial of a cause, in words. */
export const trialWords = (
  { cause }: Cause,
  { saturated_ms, tracking_error, wobble, falls_at_s, unit }: Trial,
): string =>
  cause === 'mode_excited'
    ? `keeps swinging by ±${swing(wobble)} ${unit} after a stop`
    : `out of ${effortName({ unit })} for ${milliseconds(saturated_ms)}, ${falls_at_s === null ? `${tracking_error.toFixed(1)} ${unit} behind at worst` : `and falls at ${falls_at_s.toFixed(2)} s`}`;

/** In which simulation that was. */
export const onMetalWords = ({ assumed }: Cause): string =>
  `in simulation${assumed === null ? '' : `, assuming ${assumed}`}`;
