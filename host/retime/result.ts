/**
 * What retiming answers, beside the new stream itself. Times along the stream as it was, unless a name says `after`; units as
 * the names say, a joint's own (deg, or mm for a linear leg) where `unit` stands beside.
 */
import type { EnvelopeData } from '../replay/result.ts';
import type { Bound } from './ticks.ts';
import type { Warp } from './paced.ts';

/** How one axis of the stream was made to fit: after = (before - centre) · scale + centre + moved. */
export interface Fitted {
  /** The stream's column without its unit: `pitch`, `nod`. */
  readonly name: string;
  readonly unit: 'mm' | 'deg';
  readonly scale: number;
  /** The value that scaling leaves where it is. */
  readonly centre: number;
  readonly moved: number;
}

/** What asks for most where the stream was slowed. */
export interface Because {
  /** A joint, or a component of the pose. */
  readonly name: string;
  readonly bound: Bound;
}

/** A place of the stream that takes longer than it did, or between kept beats less long. */
export interface Changed {
  readonly from_s: number;
  readonly to_s: number;
  /** How many times as long it takes. */
  readonly by: number;
  readonly because: Because | null;
}

/** A beat that was to stay on its time. */
export interface Kept {
  readonly at_s: number;
  /** 0 when it is on time. */
  readonly late_s: number;
}

/** A joint that carries nothing and was softened by itself. */
export interface SoftenedJoint {
  readonly name: string;
  readonly unit: 'mm' | 'deg';
  /** Its strokes made longer out of its own stillness, or the nearest curve within its limits. */
  readonly way: 'strokes' | 'nearest';
  /** How many were made longer, or lie where the curve is another. */
  readonly strokes: number;
  /** How far the middle of a stroke moved at most. */
  readonly moved_s: number;
  /** What the stroke that loses most has lost of how far it went. */
  readonly lost: number;
  readonly of: number;
  /** The middle of the stroke that moved or lost most, in the stream as it was. */
  readonly at_s: number;
}

/** Largest figures of a joint along the stream, in its own unit; `use` is null where it cannot be told. */
export interface JointPeaks {
  readonly speed: number;
  readonly plus: number;
  readonly minus: number;
  readonly use: number | null;
}

export interface RetimedJoint {
  readonly name: string;
  readonly unit: 'mm' | 'deg';
  readonly limits: { readonly speed: number; readonly plus: number; readonly minus: number; readonly use: number };
  readonly before: JointPeaks;
  readonly after: JointPeaks;
}

/** How often a column that carries something speeds up and slows down, by stream/speed-peaks.ts. */
export interface ColumnPeaks {
  /** The stream's column without its unit: `yaw`, `neck`. */
  readonly name: string;
  readonly before: number;
  readonly after: number;
}

/** At which of the possible paces it goes. */
export interface Pace {
  /**
   * quickest: since that adds no speed peak, or was asked for; steady: a little slower, and none is added; eased: some stay,
   * without them it would take too long.
   */
  readonly kind: 'quickest' | 'steady' | 'eased';
  /** The shortest time within the limits. */
  readonly quickest_s: number;
  /** Peaks of the new stream, and those that the quickest pace would have; only columns that move. */
  readonly peaks: readonly ColumnPeaks[];
  readonly quickest_peaks: readonly ColumnPeaks[];
}

export interface RetimeAnswer {
  /** Every tick within its limits, every beat on its time. */
  readonly ok: boolean;
  readonly rig: string;
  readonly stream: string;
  readonly frames_before: number;
  readonly frames_after: number;
  readonly seconds_before: number;
  readonly seconds_after: number;
  readonly pace: Pace;
  /** Columns of the stream that shake from frame to frame, as a recording's noise does. */
  readonly shaking: readonly string[];
  /** What the low-pass took of each column, root mean square; null: it was not asked for. */
  readonly smoothed: {
    readonly cutoff_hz: number;
    readonly residuals: readonly { readonly name: string; readonly unit: 'mm' | 'deg'; readonly rms: number }[];
  } | null;
  /** Smaller rather than slower: how many times as long was allowed, and the share of their size that the gestures kept. */
  readonly tempo: { readonly asked: number; readonly share: number } | null;
  readonly fitted: readonly Fitted[];
  readonly softened: readonly SoftenedJoint[];
  readonly slowed: readonly Changed[];
  /** Between kept beats only: where it plays faster than it did. */
  readonly hurried: readonly Changed[];
  readonly kept: readonly Kept[];
  /** Largest use of any servo in the new stream; null: no servo's is known. */
  readonly peak_use: number | null;
  readonly joints: readonly RetimedJoint[];
  /** Ticks that still ask for too much. */
  readonly too_much_ticks: number;
  /** What was left out of account, in words. */
  readonly gaps: readonly string[];
}

/** Figures along time for drawing, each bucket's lowest and highest. */
export interface RetimeTraces {
  readonly warp: Warp;
  /** What the joint nearest to a limit does, as a share of that limit, from the start of the stream as it was and as it is. */
  readonly before: EnvelopeData;
  readonly after: EnvelopeData;
}
