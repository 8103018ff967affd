/** Quantiles of the normal and of Student's distribution, by published expansions: good for limits, not for tables. */

/**
 * What a standard normal figure exceeds with this probability, 0 < p ≤ 0.5. Error below 4.5e-4 (Abramowitz & Stegun, Handbook of
 * Mathematical Functions, 26.2.23).
 */
export function normalBeyond(p: number): number {
  const t = Math.sqrt(-2 * Math.log(p));
  const above = 2.515517 + t * (0.802853 + t * 0.010328);
  const below = 1 + t * (1.432788 + t * (0.189269 + t * 0.001308));
  return t - above / below;
}

/**
 * What Student's t with so many degrees of freedom exceeds with this probability. Error below 0.7 % for p = 0.025 from 3 degrees of
 * freedom on; for small p it falls short at few (Abramowitz & Stegun, 26.7.5).
 */
export function studentBeyond(p: number, freedom: number): number {
  const x = normalBeyond(p);
  const s = x * x;
  const terms = [
    (s + 1) / 4,
    ((5 * s + 16) * s + 3) / 96,
    (((3 * s + 19) * s + 17) * s - 15) / 384,
    ((((79 * s + 776) * s + 1482) * s - 1920) * s - 945) / 92160,
  ];
  return x * terms.reduce((sum, term, k) => sum + term / freedom ** (k + 1), 1);
}

/** Half a 95 % interval, in standard errors. */
export const t95 = (freedom: number): number => studentBeyond(0.025, freedom);
