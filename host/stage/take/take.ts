/**
 * A take: what a character is asked over time, as curves of keys, with the marks and the sound that it goes with. Plain data; every
 * change makes a new one (edit.ts), so that undo is a list.
 */

/** Frames a second that a take is played and saved at. */
export const FRAME_HZ = 50;

/** Values are in the stream file's units: mm, deg. */
export interface Key {
  readonly t_s: number;
  readonly value: number;
}

/** What one column of a stream is asked: keys in the order of time, none at the same time as another. */
export interface Curve {
  /** As in a stream's header: `yaw_deg`, `jaw_deg`. */
  readonly column: string;
  readonly keys: readonly Key[];
  /** By frame, what a recording has beside its keys (detail.ts); none: its keys are all of it. */
  readonly detail?: readonly number[] | undefined;
}

/** A beat that retiming keeps, with its name. */
export interface Mark {
  readonly t_s: number;
  readonly name: string;
}

export interface Sound {
  /** A file in the rig's folder. */
  readonly file: string;
  /** Where in the take it starts. */
  readonly at_s: number;
}

export interface Take {
  readonly name: string;
  readonly seconds: number;
  /** At most one a column; a column without is left alone. */
  readonly curves: readonly Curve[];
  readonly marks: readonly Mark[];
  readonly sound: Sound | null;
  /** By column, how much earlier than its keys it is asked, because its servo is late, ms. */
  readonly leads_ms?: Readonly<Record<string, number>>;
}

export const emptyTake = (name: string, seconds: number): Take => ({
  name,
  seconds,
  curves: [],
  marks: [],
  sound: null,
});

export const curveOf = (take: Take, column: string): Curve | null =>
  take.curves.find((curve) => curve.column === column) ?? null;

/** The take with this curve in the place of the column's; a curve without keys takes the column out. */
export function withCurve(take: Take, curve: Curve): Take {
  const others = take.curves.filter(({ column }) => column !== curve.column);
  return { ...take, curves: curve.keys.length > 0 ? [...others, curve] : others };
}
