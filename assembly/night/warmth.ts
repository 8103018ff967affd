/**
 * How warm each joint is, as far as a first-order model knows: T' = (h - T) / tau, in shares of what it may bear for ever. It is
 * integrated once a second (Euler's method: at tau = 60 s within 1 % of the exponential). At power-up all are as warm as the warmest
 * was when the log was last written (assumeWarm).
 */
import { JOINTS, at, jointCount, put } from '../layout';
import { pulsing } from '../guard';
import { HEAT, PLAN, PLAN_HOLD_HEAT_AT, PLAN_PER_TAU_AT } from './plan';
import { heatNow } from './decode';

const WARM: usize = memory.data(4 * JOINTS);

export function startWarmth(): void {
  memory.fill(WARM, 0, 4 * usize(JOINTS));
}

/** A second has passed; playing: the joints do what the show says, else what pulses there are hold. */
export function warmSecond(playing: bool): void {
  const on = pulsing();
  for (let j = 0; j < jointCount(); j++) {
    const t = at(WARM, j);
    let h: f32 = 0;
    if (on & (u32(1) << u32(j))) h = playing ? heatNow(j) : at(PLAN + PLAN_HOLD_HEAT_AT, j);
    put(WARM, j, t + (h - t) * at(PLAN + PLAN_PER_TAU_AT, j));
  }
}

/** Every joint is at least so warm: what is left of a time that nobody saw. */
export function assumeWarm(share: f32): void {
  for (let j = 0; j < JOINTS; j++) if (at(WARM, j) < share) put(WARM, j, share);
}

/** The warmest joint. */
export function warmest(): f32 {
  let most: f32 = 0;
  for (let j = 0; j < jointCount(); j++) if (at(WARM, j) > most) most = at(WARM, j);
  return most;
}

/**
 * Whether a show that from cold gets as warm as this (Entry.warmest) stays within what a joint bears: what is there now is added whole,
 * though it fades.
 */
export function bearable(peak: u8): bool {
  return warmest() + f32(peak) * (1 / HEAT) <= 1;
}
