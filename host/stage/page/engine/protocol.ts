/**
 * Between the page and the worker in which the controller and the plant run: what the page asks for, and what is so. Arrays are in
 * the order of a stream's values (x, y, z in mm, roll, pitch, yaw in rad, then the joints but the legs in rad) or, where it says
 * joints, of the rig's joints (rad or mm).
 */

export type ToEngine =
  | { readonly do: 'start'; readonly rig: string; readonly wasm: ArrayBuffer }
  /** What the hand asks for from now on, until `release` or `play`. */
  | { readonly do: 'hand'; readonly values: Float64Array }
  | { readonly do: 'release' }
  /** Plays a take's text from an instant of it on; its time goes on with `run`. */
  | { readonly do: 'play'; readonly text: string; readonly from_s: number }
  /** What the hand lays over a take that plays, while it is recorded; NaN: the take's own. Null: nothing any more. */
  | { readonly do: 'over'; readonly values: Float64Array | null }
  | { readonly do: 'pause' | 'rouse' | 'settle' | 'clear' }
  /** What the rig's inputs are from the next tick on, for its responses: closed ones one bit each, analog ones 0 to 65535. */
  | { readonly do: 'sense'; readonly closed: number; readonly analog: readonly number[] }
  /** Brings the engine's time to this instant, ms since `start`, in fixed ticks. Far behind, it skips: a page that slept has missed it. */
  | { readonly do: 'run'; readonly to_ms: number };

/** One look at what is so. Read it and let it go: the next one comes with the next `run`. */
export interface Look {
  readonly said: 'look';
  readonly state: string;
  /** Why it tripped, in words; null: it has not. */
  readonly trip: string | null;
  readonly follows: 'nothing' | 'hand' | 'take';
  /** Of the take that plays, s; null: none. */
  readonly take_s: number | null;
  /** Asked at the controller's playback clock; NaN where nothing is asked. */
  readonly asked: Float64Array;
  /** Joints as the controller commands them, and as the metal has them. */
  readonly commanded: Float64Array;
  readonly metal: Float64Array;
  /** The plate's pose (mm, rad) as commanded and as the metal has it; null: no platform, or nothing that assembles. */
  readonly pose: Float64Array | null;
  readonly metalPose: Float64Array | null;
  /** Share of its torque that each joint uses at its speed; NaN: unknown. */
  readonly use: Float64Array;
  /** What keeps the asked pose from being reached; null: nothing. */
  readonly stoppedBy: { readonly joint: string; readonly cause: string } | null;
  /** What fell, in words; null: nothing. */
  readonly fallen: string | null;
}

/** at_ms: the instant of the look, on the clock that `run` brings on. */
export type TimedLook = Look & { readonly at_ms: number };

export type FromEngine =
  | TimedLook
  | { readonly said: 'ready' }
  /** A take has ended: what every joint was told, tick after tick, us. */
  | { readonly said: 'played'; readonly pulses: Uint16Array }
  | { readonly said: 'fault'; readonly words: string };
