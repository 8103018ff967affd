/**
 * What an input shaper leaves of a vibration, and how wide a range of frequencies it quiets. The shapers themselves are in
 * rig/shaper.ts; here is the physics that judges them.
 */
import type { Impulse } from '../../rig/shaper.ts';

/**
 * Vibration left after the last impulse, as a share of what one impulse of all the motion at the start would leave at that same
 * moment: e^(-ζωt)·|ΣA e^((ζω + iω_d)t)| (Singer & Seering 1990). hz is the structure's natural frequency, damping its ratio.
 */
export function residual(shaper: readonly Impulse[], hz: number, damping: number): number {
  const decay = 2 * Math.PI * hz * damping;
  const turn = 2 * Math.PI * hz * Math.sqrt(1 - damping * damping);
  const end_s = Math.max(...shaper.map(({ at_s }) => at_s));
  let re = 0;
  let im = 0;
  for (const { share, at_s } of shaper) {
    const size = share * Math.exp(decay * (at_s - end_s));
    re += size * Math.cos(turn * at_s);
    im += size * Math.sin(turn * at_s);
  }
  return Math.hypot(re, im);
}

/** Steps of the search outward, and halvings of the step in which the residual passes the level. */
const STEP = 1e-3;
const HALVINGS = 40;
/** A shaper may leave exactly the level at its own frequency: that is still within. */
const ROUNDING = 1e-9;

/** Range of frequencies around hz, as shares of it, in which at most `level` is left. Null: more is left at hz itself. */
export function quietRange(
  shaper: readonly Impulse[],
  hz: number,
  damping: number,
  level: number,
): readonly [lowest: number, highest: number] | null {
  const quiet = (ratio: number): boolean => residual(shaper, ratio * hz, damping) <= level + ROUNDING;
  if (!quiet(1)) return null;
  const edge = (direction: 1 | -1): number => {
    let inside = 1;
    // Far below its frequency nothing is quieted, and far above it is quiet again and again: the range ends before either.
    while (quiet(inside + direction * STEP) && Math.abs(inside - 1) < 1) inside += direction * STEP;
    let outside = inside + direction * STEP;
    for (let n = 0; n < HALVINGS; n++) {
      const middle = (inside + outside) / 2;
      if (quiet(middle)) inside = middle;
      else outside = middle;
    }
    return inside;
  };
  return [edge(-1), edge(1)];
}
