/** In a maker's words: what a servo would have to give for this, and how far those that are there let the prop sag. */
import { short, together } from '../rig/words.ts';
import type { LoadAnswer, Trouble } from './result.ts';
import { poseWords, sizingWords } from './words.ts';

const TORQUE: readonly Trouble['cause'][] = ['hold', 'hot', 'worst', 'torque', 'heat'];

/** What stall torque the joints would need that have too little; null: all have enough, or it is not known. */
export function neededWords({ joints, troubles }: LoadAnswer): string | null {
  const short_ = joints.filter(({ name }) =>
    troubles.some(({ cause, joint }) => joint === name && TORQUE.includes(cause)),
  );
  const needs = short_.flatMap(({ name, needs: least, unit }) =>
    least === null ? [] : [`${sizingWords(least, unit)} for ${name}`],
  );
  if (needs.length === 0) return null;
  const noun = short_[0]!.unit === 'deg' ? 'stall torque' : 'force';
  return `servos with a ${noun} of at least ${together(needs)}, as fast without load`;
}

/** `the plate z -0.9 mm and pitch 0.3 deg; nod -0.9 deg`, by servos' stiffness; null: nothing that shows, or not known. */
export function sagWords({ sag, joints }: LoadAnswer): string | null {
  const plate = sag.plate === null ? [] : poseWords(sag.plate, SAG_DIGITS);
  const others = joints.flatMap(({ name, unit, leg }, i) => {
    const shown = short(sag.joints[i] ?? 0, SAG_DIGITS);
    return leg || shown === '0' ? [] : [`${name} ${shown} ${unit}`];
  });
  const parts = [...(plate.length === 0 ? [] : [`the plate ${plate.join(', ')}`]), ...others];
  if (parts.length === 0) return null;
  const how =
    sag.assumed.length === 0
      ? 'by the stiffness in the file'
      : `for an assumed stiffness of ${together(sag.assumed)}: see below`;
  return `${parts.join('; ')} (${how})`;
}

const SAG_DIGITS = 2;
