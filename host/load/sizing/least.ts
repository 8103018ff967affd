/** The smallest value of a convex function of one variable, by golden section (Kiefer 1953). */

/** Of a bracket this share is left at each step. */
const GOLDEN = (Math.sqrt(5) - 1) / 2;
const STEPS = 48;

/** Smallest value of a convex function between lo and hi, and where. */
export function least(lo: number, hi: number, f: (x: number) => number, steps = STEPS): { x: number; value: number } {
  let [a, b] = [lo, hi];
  let [p, q] = [b - GOLDEN * (b - a), a + GOLDEN * (b - a)];
  let [fp, fq] = [f(p), f(q)];
  for (let k = 0; k < steps; k++) {
    if (fp <= fq) {
      [b, q, fq] = [q, p, fp];
      p = b - GOLDEN * (b - a);
      fp = f(p);
    } else {
      [a, p, fp] = [p, q, fq];
      q = a + GOLDEN * (b - a);
      fq = f(q);
    }
  }
  return { x: (a + b) / 2, value: f((a + b) / 2) };
}
