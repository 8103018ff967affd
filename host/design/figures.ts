/**
 * The figures of a candidate, flat: what is where in the array that the evaluator writes. Every figure is finite, whatever the design.
 * Travels in mm and rad, efforts N·m or N, sizes mm and cm³.
 */
import { TRAVELS } from './evaluate/ask.ts';
import { CAUSES, type Cause } from './evaluate/legs.ts';

/** Axes that have room for figures of their own: a rig has 16 joints, six of them legs. */
export const MOST_AXES = 10;

export const AT = {
  /** 12, from home, 0 or more, cut where the plate would hang loose. */
  travel: 0,
  /** 12 codes, 8 · (place in CAUSES) + leg; -1: nothing stops it. */
  stop: TRAVELS,
  /** Height of home, mm; 0: there is none. */
  home_z: 2 * TRAVELS,
  /** 1: it stands at home, within limits and held; 0: it does not, and most figures are at their worst. */
  stands: 2 * TRAVELS + 1,
  /** By how much home is out of reach or limits, as `stream_short`; 0 where it stands. */
  home_short: 2 * TRAVELS + 2,
  /** Largest share of all musts at once, up to the one that is wanted. */
  together: 2 * TRAVELS + 3,
  /** Worst along the stream: 0, or by how much a leg is out of reach, limits or rod ends (share of the rod, rad, sin²); 1: loose. */
  stream_short: 2 * TRAVELS + 4,
  /** Largest use of a leg along the stream, of what it can give at its speed; as fast as without load or faster: 1000 and more. */
  use: 2 * TRAVELS + 5,
  /** Largest share of stall torque of a leg that holds: home, corners of the box, home with each carrier and each free axis at its limits. */
  hold_use: 2 * TRAVELS + 6,
  /** Torque or force of the same, N·m or N. */
  hold: 2 * TRAVELS + 7,
  /** Lowest natural frequency at home, and the lowest at home and where each wanted travel ends, Hz; below 0: unstable. */
  home_hz: 2 * TRAVELS + 8,
  lowest_hz: 2 * TRAVELS + 9,
  /** 1: somewhere it is not held against gravity. */
  unstable: 2 * TRAVELS + 10,
  /** Least room between two bodies, mm; below 0: they touch. */
  clearance: 2 * TRAVELS + 11,
  /** Code of the two bodies: evaluate/spaces.ts. */
  nearest: 2 * TRAVELS + 12,
  /** Largest current along the stream, or at home without one, A. */
  current: 2 * TRAVELS + 13,
  /** Of the servos that the design chooses. */
  price: 2 * TRAVELS + 14,
  base_radius: 2 * TRAVELS + 15,
  plate_radius: 2 * TRAVELS + 16,
  /** As `room.height_mm`, at home: heightOf (evaluate/sizes.ts). */
  height: 2 * TRAVELS + 17,
  /** Cylinder around it at home, square to the base: all joints, cranks and servo bodies. */
  volume: 2 * TRAVELS + 18,
  /** By axis in space, in the order of Prepared.axes: largest share of stall torque that holds, largest use along the stream, and the most at the servo. */
  axis_hold_use: 2 * TRAVELS + 19,
  axis_use: 2 * TRAVELS + 19 + MOST_AXES,
  axis_peak: 2 * TRAVELS + 19 + 2 * MOST_AXES,
  /** Of an axis whose torque is bounded: what its servo holds anywhere that soft limits allow, without margins, N·m (evaluate/farthest.ts); others 0. */
  axis_most: 2 * TRAVELS + 19 + 3 * MOST_AXES,
  /** Least of the wanted travels as a share of what is wanted, each ended where two bodies come nearer than the gap: free-travels.ts. */
  free: 2 * TRAVELS + 19 + 4 * MOST_AXES,
} as const;

export const FIGURES = 2 * TRAVELS + 20 + 4 * MOST_AXES;

/** What a figure is at its worst, where it can't be told: large, and finite. */
export const HOPELESS = 1e6;

/** What stops travel k; null: nothing within half a turn. */
export function stopOf(figures: Float64Array, k: number): { readonly leg: number; readonly cause: Cause } | null {
  const code = figures[AT.stop + k]!;
  return code < 0 ? null : { leg: code % 8, cause: CAUSES[Math.floor(code / 8)]! };
}
