/**
 * How a vibration dies away, and frequency and damping from swings that somebody counted (W. T. Thomson, Theory of Vibration with
 * Applications, 2.7; S. S. Rao, Mechanical Vibrations, 2.6): successive peaks on one side are in a fixed ratio.
 */

/** A vibration as motion.wobble has it, each figure with what it may be off by, 19 times in 20. */
export interface Wobble {
  /** Natural frequency (undamped). */
  readonly hz: number;
  readonly hz_within: number;
  /** Ratio to critical damping. */
  readonly damping: number;
  readonly damping_within: number;
}

/** ln of one peak over the next on the same side. */
export const decrementOf = (damping: number): number => (2 * Math.PI * damping) / Math.sqrt(1 - damping * damping);

/** The damping ratio whose decrement this is. */
export const dampingOf = (decrement: number): number => decrement / Math.hypot(2 * Math.PI, decrement);

/** Swings until a peak is half of the first one. */
export const swingsToHalve = (damping: number): number => Math.LN2 / decrementOf(damping);

export interface Swings {
  /** Whole swings, there and back, between the first and the last peak. */
  readonly swings: number;
  /** Size of both peaks, in any unit, from the place where it comes to rest. */
  readonly first: number;
  readonly last: number;
  readonly seconds: number;
}

/** What is taken of readings from a video (common practice): each peak to a twentieth of the first one, the ends to 0.04 s each. */
const PEAK_READ = 0.05;
const TIME_READ_S = 0.04;
/** Damping at which a swing leaves a fiftieth for the next one: no wobble that anybody sees (ours). */
const DEAD = 0.53;
const NINETEEN_IN_20 = 1.96;

/** Frequency and damping from counted swings, or in words why there are none. */
export function wobbleOfSwings(counted: Swings): Wobble | { readonly problem: string } {
  const { swings, first, last, seconds } = counted;
  const problem = unusable(counted);
  if (problem !== null) return { problem };
  const decrement = Math.log(first / last) / swings;
  const damping = dampingOf(decrement);
  const hz = swings / seconds / Math.sqrt(1 - damping * damping);
  // Of a peak read wrongly by a share of the first one, the smaller peak feels more.
  const decrement_off = (Math.hypot(1, first / last) * PEAK_READ) / swings;
  return {
    hz,
    hz_within: NINETEEN_IN_20 * hz * ((Math.SQRT2 * TIME_READ_S) / seconds),
    damping,
    damping_within: (NINETEEN_IN_20 * decrement_off) / (2 * Math.PI),
  };
}

function unusable({ swings, first, last, seconds }: Swings): string | null {
  if (!Number.isInteger(swings) || swings < 1) return 'swings are counted whole: 1 or more, there and back';
  if (!(seconds > 0 && Number.isFinite(seconds))) return 'the seconds that the swings took are more than 0';
  if (!(first > 0 && last > 0 && Number.isFinite(first)))
    return 'first and last are the sizes of two swings, both more than 0, from where it comes to rest';
  if (last >= first)
    return 'the last swing is no smaller than the first: it did not die away, so there is no damping to take from it';
  if (dampingOf(Math.log(first / last) / swings) > DEAD)
    return 'the last swing is next to nothing beside the first: that dies by itself within a swing, and needs no cure';
  return null;
}
