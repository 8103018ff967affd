/** What the pulses at a prop's pins say of whoever sent them: how fast they asked a servo to go, how far, and when. */
import type { SeenPulse, TrueJoint, TrueProp } from './true-prop.ts';

/** Pulses further apart than this were off in between: the next is a first one, and the servo runs there at its own speed. */
const OFF_US = 50_000;
/** Speeds are over this long: a pulse is a whole number of us, half a degree a second over it. */
const OVER_US = 200_000;

const ofPin = (prop: TrueProp, { pin }: TrueJoint, from = 0): SeenPulse[] =>
  prop.pulses.slice(from).filter((pulse) => pulse.pin === pin);

/** Fastest change of a joint's pulses while they were on, us/s. */
export function fastest_us_s(prop: TrueProp, joint: TrueJoint): number {
  const seen = ofPin(prop, joint);
  let most = 0;
  let first = 0;
  seen.forEach((pulse, n) => {
    const last = seen[n - 1];
    if (!last || pulse.at_us - last.at_us > OFF_US) first = n;
    while (pulse.at_us - seen[first]!.at_us > OVER_US) first++;
    const before = seen[first]!;
    // The first pulses after a pause have had no time; one us is rounding.
    if (pulse.at_us - before.at_us < OVER_US / 2) return;
    const step_us = Math.max(0, Math.abs(pulse.width_us - before.width_us) - 1);
    most = Math.max(most, step_us / ((pulse.at_us - before.at_us) / 1e6));
  });
  return most;
}

/** Narrowest and widest pulse of a joint, us, from the n-th that the prop has seen on; null: none. */
export function spanned_us(prop: TrueProp, joint: TrueJoint, from = 0): readonly [number, number] | null {
  const widths = ofPin(prop, joint, from).map(({ width_us }) => width_us);
  return widths.length === 0 ? null : [Math.min(...widths), Math.max(...widths)];
}

/** How far any pulse has asked a joint beyond where it really binds, deg. Horns that were moved since count as they stand now. */
export function beyond_deg(prop: TrueProp, joint: TrueJoint, from = 0): number {
  const [lo, hi] = joint.servo.truth.binds_deg;
  const asked = ofPin(prop, joint, from).map(({ width_us }) => joint.servo.askedBy(width_us));
  return asked.reduce((most, deg) => Math.max(most, lo - deg, deg - hi), 0);
}

/** How many pins still have pulses. */
export const pulsing = (prop: TrueProp): number =>
  prop.joints.filter(({ servo }) => servo.isPulsing(prop.now_us)).length;
