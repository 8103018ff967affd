/** What tuning answers. Figures in the joint's shown unit: degrees, or mm for linear legs. */
import type { Bounds } from '../physics/servo/limits.ts';

/** Limits as the file has them. Infinity for plus_gone and minus_gone: plus and minus do not fade with speed. */
export type Figures = Bounds;

/** What the simulated metal did: how long its servo gave all it has and could not follow, and how far it was behind at most. */
export interface Seen {
  readonly saturated_ms: number;
  readonly peak_error: number;
  /** Which way it lacked effort when it was furthest behind: 1 in the direction of plus, -1 of minus. */
  readonly pushes: 1 | -1;
  /** It fell, or the plate that it holds did: the figures are of the time before. */
  readonly falls: boolean;
}

/**
 * `tuned`: other limits than the file's. `well`: they stay. `unknown`: a figure is missing. `cannot_hold`: its servo cannot
 * carry the load whatever the limits. The last two stay as they are.
 */
export type Outcome = 'tuned' | 'well' | 'unknown' | 'cannot_hold';

/** A joint, or all legs together, which share their limits. */
export interface TunedJoint {
  /** The joint's, or `legs`. */
  readonly name: string;
  /** Where its limits stand in the file: `joints.nod`, `motion.leg`. */
  readonly path: string;
  readonly unit: 'deg' | 'mm';
  readonly outcome: Outcome;
  readonly file: Figures;
  readonly limits: Figures;
  /** What its servo could do, whatever the file says; null: nothing, or not known. */
  readonly could: Figures | null;
  /** From one soft limit to the other. */
  readonly full_range_s: { readonly before: number; readonly after: number };
  /** What bounds it, in words. */
  readonly bound_by: string;
  /** Null: not known, since a figure is missing, or since another joint fell and ended the trial. */
  readonly before: Seen | null;
  readonly after: Seen | null;
}

/** How far one thing may be from what the file says before a servo runs out with these limits, everything else as it says. */
export interface Margin {
  readonly what: 'voltage' | 'weight' | 'friction' | 'damping';
  /**
   * The lowest supply in V (percent less, where the file does not say how much it gives); percent more weight; percent of stall torque
   * that dry friction takes, or drag at no-load speed.
   */
  readonly alone: number;
  readonly unit: 'V' | 'percent';
  /** Who runs out first beyond it; null: nobody within what was looked at. */
  readonly joint: string | null;
}

export interface Margins {
  readonly alone: readonly Margin[];
  /** Whether such a share of each, all at once, still holds; else who runs out. */
  readonly together: { readonly of: number; readonly holds: boolean; readonly joint: string | null };
}

export interface TuneAnswer {
  /** Every joint whose figures are known is within its servo's torque with these limits. */
  readonly ok: boolean;
  readonly rig: string;
  /** Name of the stream it was tuned for; null: any motion. */
  readonly stream: string | null;
  readonly faster: boolean;
  readonly joints: readonly TunedJoint[];
  /** Who comes further behind or past what the stream asks than is allowed, at most, in its unit: a slower stream is the cure. */
  readonly late: readonly {
    readonly name: string;
    readonly unit: 'deg' | 'mm';
    readonly before: number;
    readonly after: number;
    readonly past_before: number;
    readonly past_after: number;
    /** Neither the platform nor another joint stands on it: `retime` softens its moves, and takes no longer for them. */
    readonly carries_nothing: boolean;
  }[];
  /** That the simulation could not be trusted, and what to look at, a sentence: the limits are by the sums alone. Null: it could. */
  readonly unsure: string | null;
  /** Null: some servo does not keep up as it is, or nothing is known of any. */
  readonly margins: Margins | null;
  /** What is to be done where no limits help, a sentence each. */
  readonly advice: readonly string[];
  /** What the answer takes for granted, and what is left out of it. */
  readonly rests_on: readonly string[];
}
