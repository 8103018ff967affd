/** Which causes make which symptom, the likeliest in this rig first. */
import type { Look, Suspect } from './causes/cause.ts';
import { beyondLimits } from './causes/held.ts';
import { modeExcited } from './causes/mode.ts';
import { playCrossingBalance } from './causes/play.ts';
import { binding, deadBandHunting, holdingHeat } from './causes/servo.ts';
import { coarseStream, reachOrRodEnds, shakingStream } from './causes/stream.ts';
import { supplySag } from './causes/supply.ts';
import { fallingLoad, torqueSaturated } from './causes/torque.ts';
import type { Facts } from './facts.ts';
import type { Cause, Symptom, Trial } from './result.ts';

/** The most common cause first (common practice). */
const OF: Readonly<Record<Symptom, readonly Look[]>> = {
  jerk: [
    torqueSaturated,
    beyondLimits,
    fallingLoad,
    playCrossingBalance,
    shakingStream,
    coarseStream,
    supplySag,
    binding,
  ],
  wobble: [modeExcited, playCrossingBalance, torqueSaturated, deadBandHunting],
  buzz: [deadBandHunting, shakingStream, binding, holdingHeat, modeExcited],
  slap: [playCrossingBalance, fallingLoad, reachOrRodEnds],
  short: [reachOrRodEnds, beyondLimits, torqueSaturated, binding],
  hot: [holdingHeat, binding, deadBandHunting],
  twitch: [supplySag, shakingStream, coarseStream, deadBandHunting, playCrossingBalance],
};

/** A cause further down a symptom's list is a little less its cause (ours). */
const FARTHER = 0.08;

/** The suspects of a symptom, most likely first. */
export const suspectsOf = (facts: Facts, symptom: Symptom): Suspect[] =>
  OF[symptom]
    .flatMap((look) => look(facts) ?? [])
    .map((found, k) => ({ ...found, weight: found.weight * (1 - FARTHER * k) }))
    .sort((a, b) => b.weight - a.weight);

/** Shares from which a word is used (ours). */
const LIKELY = 0.6;
export const POSSIBLE = 0.25;

/** The metal before and after a cure. */
export type Tried = { readonly [key in 'before' | 'after']: Trial } & Pick<Cause, 'assumed'>;

/** As it is told; tried: null where the metal was not asked. */
export function causeOf(suspect: Suspect, tried: Tried | null): Cause {
  const { cause, title, weight, because, test, cure, cost } = suspect;
  const likely = weight >= LIKELY ? 'likely' : weight >= POSSIBLE ? 'possible' : 'unlikely';
  const { before, after, assumed } = tried ?? { before: null, after: null, assumed: null };
  return { cause, title, likely, because, test, cure, cost, before, after, assumed };
}
