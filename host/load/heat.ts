/**
 * How warm a servo gets: what heats it is the square of its current, and its current is as its torque (copper loss; common practice).
 * One reckoning for `why`, for shows and, with their figures, for the board.
 */
import type { Servo } from '../rig/rig.ts';

type Lasting = Pick<Servo, 'continuous_use'>;

/** How near to what it may give for long: 1 is all of it. share: of its stall torque, held or on average (root of the mean square). */
export const warmth = (share: number, { continuous_use }: Lasting): number => share / continuous_use;

/** What that heats it by; 1: what it may bear for ever. A servo that is heated so for long comes to be as warm as this says. */
export const heatOf = (share: number, servo: Lasting): number => warmth(share, servo) ** 2;

/**
 * Thermal time constant of a servo whose file gives none, s (usual, not measured): small geared motors in their case take 4 to 15
 * minutes (common practice, from memory); the quick end, so that a hot one is believed to be hot.
 */
export const TYPICAL_TAU_S = 300;

export const tauOf = ({ thermal_tau_s }: Pick<Servo, 'thermal_tau_s'>): number => thermal_tau_s ?? TYPICAL_TAU_S;

/** How warm it is after a time of even heat: first order. */
export const warmedBy = (warm: number, heat: number, for_s: number, tau_s: number): number =>
  heat + (warm - heat) * Math.exp(-for_s / tau_s);
