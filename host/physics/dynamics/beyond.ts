/**
 * Joints that a stream asks to go beyond their soft limits. The controller stops a joint there, whatever else is in reach: it
 * does not get where it was asked to. Legs are not looked at: what stops them stops the pose (inverse.ts).
 */
import { type Joint, type Rig, toRad, toShown } from '../../rig/rig.ts';
import type { StoredStream } from '../../stream/stored.ts';

/** A joint asked to go so little past its soft limit (deg or mm) is asked to go to it: rounding. */
const PAST_LIMIT = 1e-4;

/** What a joint is asked for, held within its soft limits; NaN, nothing asked, stays NaN. */
export const withinLimits = ({ lo, hi }: Pick<Joint, 'lo' | 'hi'>, asked: number): number =>
  Math.min(hi, Math.max(lo, asked));

/** Whether what a joint is asked for (rad or mm) lies beyond its soft limits by more than rounding; NaN does not. */
export const isBeyond = ({ unit, lo, hi }: Pick<Joint, 'unit' | 'lo' | 'hi'>, asked: number): boolean =>
  Math.max(lo - asked, asked - hi) > (unit === 'deg' ? toRad(PAST_LIMIT) : PAST_LIMIT);

/** The furthest that a joint is asked to go beyond its soft limits, in its shown unit. */
export interface Beyond {
  readonly joint: string;
  readonly unit: 'deg' | 'mm';
  readonly asked: number;
  /** The soft limit that stops it. */
  readonly limit: number;
  readonly at_s: number;
}

/** Keeps the furthest of every joint, in memory that does not grow with the stream. */
export class BeyondWatch {
  private readonly furthest = new Map<string, Beyond>();

  /** Whether joint, asked for this (rad or mm; NaN: nothing), is asked to go beyond its soft limits. */
  look(joint: Joint, asked: number, at_s: number): boolean {
    if (!isBeyond(joint, asked)) return false;
    const { name, unit } = joint;
    const [shown, limit] = [toShown(joint, asked), toShown(joint, withinLimits(joint, asked))];
    const known = this.furthest.get(name);
    if (!known || Math.abs(shown - limit) > Math.abs(known.asked - known.limit))
      this.furthest.set(name, { joint: name, unit, asked: shown, limit, at_s });
    return true;
  }

  /** The furthest first. */
  list(): Beyond[] {
    const by = ({ asked, limit }: Beyond): number => Math.abs(asked - limit);
    return [...this.furthest.values()].sort((a, b) => by(b) - by(a));
  }
}

/** What a stream asks beyond soft limits. Between two frames no joint is asked for more than at one of them. */
export function beyondLimitsIn(rig: Rig, stream: StoredStream): Beyond[] {
  const watch = new BeyondWatch();
  const legs = rig.platform ? 6 : 0;
  for (let f = 0; f < stream.count; f++) {
    const row = stream.row(f);
    for (let i = legs; i < rig.joints.length; i++) watch.look(rig.joints[i]!, row[6 + i - legs]!, stream.time(f));
  }
  return watch.list();
}

/** `beak is asked for 30.0 deg at 5.00 s, and its soft limit is 25.0 deg`: the furthest of each, one sentence without its stop. */
export const beyondWords = (all: readonly Beyond[]): string =>
  all
    .map(({ joint, unit, asked, limit, at_s }) => {
      const digits = [1, 2, 3, 4].find((n) => asked.toFixed(n) !== limit.toFixed(n)) ?? 4;
      return `${joint} is asked for ${asked.toFixed(digits)} ${unit} at ${at_s.toFixed(2)} s, and its soft limit is ${limit.toFixed(digits)} ${unit}`;
    })
    .join('; ');
