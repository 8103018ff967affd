/**
 * A ring of six joints from what a ruler measures: the two distances between neighbours. Three pairs stand 120 degrees apart; in each
 * the joints are at the pair's azimuth minus and plus the half angle.
 */
import { toDeg } from '../rig/rig.ts';

export interface Ring {
  readonly radius_mm: number;
  /** 0 to 60 degrees; below 30 the joints of a pair are the nearer ones. */
  readonly half_angle_deg: number;
}

/**
 * Radius and half angle of a ring.
 *
 * The chords are a = 2·r·sin h within a pair and b = 2·r·sin(60° − h) between pairs. With sin(60° − h) taken apart,
 * r·sin h = a/2 and r·cos h = (2·b + a) / (2·√3): their hypotenuse is r, their ratio tan h.
 * @param pair_mm between the joints of a pair, above 0.
 * @param gap_mm between the nearest joints of two pairs, above 0.
 */
export function ringOf(pair_mm: number, gap_mm: number): Ring {
  const sine_mm = pair_mm / 2;
  const cosine_mm = (2 * gap_mm + pair_mm) / (2 * Math.sqrt(3));
  return { radius_mm: Math.hypot(sine_mm, cosine_mm), half_angle_deg: toDeg(Math.atan2(sine_mm, cosine_mm)) };
}
