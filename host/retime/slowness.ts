/** Which places of a stream take longer than they did, how much, and what asks for most there. */
import type { RigMotion } from './motion.ts';
import type { Changed } from './result.ts';
import type { Paced } from './paced.ts';
import type { Excess } from './ticks.ts';

/** Places closer than this are told as one, s. */
const TOGETHER_S = 0.25;
/** A pace nearer to the stream's own than this is its own. */
const SAME = 1e-6;

interface Place {
  readonly isSlow: boolean;
  readonly from_s: number;
  to_s: number;
  /** New times of its ends, from the stretch's start. */
  readonly begins_s: number;
  ends_s: number;
}

/** Steps of one stretch at another pace than the stream's own; those of one kind that follow closely are one place. */
function placesOf({ s, x, at_s }: Paced): Place[] {
  const places: Place[] = [];
  for (let i = 0; i + 1 < s.length; i++) {
    // The mean rate of the step.
    const rate = (Math.sqrt(x[i]!) + Math.sqrt(x[i + 1]!)) / 2;
    if (Math.abs(rate - 1) < SAME) continue;
    const isSlow = rate < 1;
    const last = places.at(-1);
    if (last?.isSlow === isSlow && s[i]! - last.to_s < TOGETHER_S) {
      last.to_s = s[i + 1]!;
      last.ends_s = at_s[i + 1]!;
    } else places.push({ isSlow, from_s: s[i]!, to_s: s[i + 1]!, begins_s: at_s[i]!, ends_s: at_s[i + 1]! });
  }
  return places;
}

/** The places of all stretches that are slower, and those that are faster. @param found what asked for too much before. */
export function changedPlaces(
  motion: RigMotion,
  stretches: readonly Paced[],
  found: readonly Excess[],
): { readonly slowed: readonly Changed[]; readonly hurried: readonly Changed[] } {
  const slowed: Changed[] = [];
  const hurried: Changed[] = [];
  for (const { isSlow, from_s, to_s, begins_s, ends_s } of stretches.flatMap(placesOf)) {
    const by = (ends_s - begins_s) / (to_s - from_s);
    const because = isSlow ? becauseOf(motion, found, from_s, to_s) : null;
    (isSlow ? slowed : hurried).push({ from_s, to_s, by, because });
  }
  return { slowed, hurried };
}

/** What asks for most between two times; null when nothing does there. */
export function becauseOf(
  motion: RigMotion,
  found: readonly Excess[],
  from_s: number,
  to_s: number,
): Changed['because'] {
  let worst: Excess | null = null;
  for (const excess of found)
    if (excess.t_s >= from_s && excess.t_s <= to_s && excess.share < (worst?.share ?? 1)) worst = excess;
  return worst && { name: motion.axes[worst.axis]!.name, bound: worst.bound };
}
