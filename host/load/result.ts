/**
 * What `load` answers. Torques are at the servo's own output (N·m; linear: N), positive along its coordinate, a gear's losses
 * counted; speeds are the joint's own, in its shown unit (deg or mm) per s; uses are shares of what the servo can give, 1 is
 * all of it. null: cannot be told, and `left_out` or `unknown` says why.
 */
import type { Beyond } from '../physics/dynamics/beyond.ts';
import type { Mode } from '../physics/vibration/modes.ts';
import type { Pose, Source } from '../rig/rig.ts';
import type { Sag } from './sag.ts';

/** Where a rig stands: the plate's pose, and the other joints in their shown unit. */
export interface PlaceAnswer {
  readonly pose: Pose | null;
  readonly joints: Readonly<Record<string, number>>;
}

/** The heaviest holding that the soft limits allow a joint. */
export interface WorstHold {
  /** null: without end, as the plate comes to where it hangs loose; or what it holds is not known. */
  readonly effort: number | null;
  readonly use: number | null;
  readonly loose: boolean;
  readonly at: PlaceAnswer;
}

/** What a stream asks of a joint. */
export interface JointAlong {
  /** Largest |effort|, with its sign, wherever it comes. */
  readonly peak: number;
  readonly peak_at_s: number;
  /** Where it uses the largest share of its servo: effort and speed there. */
  readonly at_s: number;
  readonly effort: number;
  readonly speed: number;
  /** That share; null: its figures are unknown, or it is asked to be as fast as its servo without load, or faster. */
  readonly use: number | null;
  readonly impossible: 'speed' | null;
  /** Stall effort of a servo, as quick without load, that would just do all along; null: none would, or its figures are unknown. */
  readonly needed: number | null;
  readonly peak_speed: number;
  /** Root of the mean square of |effort| over stall: what heats it; null: stall is unknown. */
  readonly rms_use: number | null;
  /**
   * The longest time on end in which it gives more than continuous_use of its stall torque: how long, from when, and the largest
   * share in it; null: never, or stall is unknown.
   */
  readonly hot: { readonly for_s: number; readonly from_s: number; readonly share: number } | null;
  /** Largest use in each of so many equal lengths of the stream; null where it is too fast or unknown. */
  readonly use_over_time: readonly (number | null)[];
  /** In which of these lengths it is too fast. */
  readonly too_fast: readonly boolean[];
}

export interface JointLoad {
  readonly name: string;
  /** Of the platform. */
  readonly leg: boolean;
  readonly unit: 'deg' | 'mm';
  /** To hold at the place asked about; null: what it holds is not known. */
  readonly hold: number | null;
  readonly hold_use: number | null;
  readonly worst: WorstHold;
  /** null: no stream was given, or none of it is in reach. */
  readonly along: JointAlong | null;
  readonly stall: number | null;
  /**
   * Stall torque, or force, of a servo as quick without load that would do for all that is asked: to hold there for long, to hold
   * at the hardest place, to move, and on average; null: not known, or no torque would do.
   */
  readonly needs: number | null;
  /** At no load, in the joint's shown unit per s. */
  readonly fastest: number | null;
  readonly continuous_use: number;
  readonly peak_use: number;
}

/** Current by stall current · |torque| / stall torque (common practice); nothing for idling and electronics. */
export interface SupplyLoad {
  readonly hold_a: number | null;
  /** Along the stream. */
  readonly peak_a: number | null;
  readonly peak_at_s: number | null;
  readonly stalled_a: number | null;
  /** What the supply gives, and what its fuse lets through. */
  readonly gives_a: number | null;
  readonly fuse_a: number | null;
  /** Joints whose servos' current is unknown: the figures are without them. */
  readonly unknown: readonly string[];
}

/** A weight that may be added, and what is then at its limit. */
export interface Room {
  /** null: more than anyone would add (MOST_SPARE_KG). */
  readonly kg: number | null;
  /** The joint that runs out first. */
  readonly runs_out: string | null;
  /** Where or when that is, in words; '' where it stands, or where none runs out. */
  readonly when: string;
  /** The limit it comes to, in words without a stop; '' where none runs out. */
  readonly because: string;
}

/** How much more may be added at a point: the lesser of what may be held for long, and moved along the stream. */
export interface Spare extends Room {
  /** The plate's centre, or the part at whose place it is. */
  readonly at: string;
  readonly holding: Room;
  /** null: no stream. */
  readonly moving: Room | null;
}

/** A place, and the servo that has most to hold there. */
export interface Easiest {
  readonly use: number;
  readonly joint: string;
  readonly at: PlaceAnswer;
}

/** A figure that the answer rests on. */
export interface RestsOn {
  readonly figure: string;
  readonly from: Source['from'];
  /** How far it may be off: as the file says, or taken. */
  readonly within_percent: number;
  readonly taken: boolean;
  /** The largest use, with the figure off by so much the worse way; null: it stays what it is. */
  readonly use_then: number | null;
}

/**
 * What is out of limits: it cannot hold at the place asked about, or not for long; in its soft limits the plate comes to where
 * it hangs loose, or a servo to where it cannot hold; moving
 * takes more than there is, or is faster than the servo; on average it is too much; the supply or its fuse has too little.
 */
export interface Trouble {
  readonly cause: 'hold' | 'hot' | 'loose' | 'worst' | 'torque' | 'speed' | 'heat' | 'supply' | 'fuse';
  /** null: all of them together. */
  readonly joint: string | null;
}

/** A servo that holds with more than continuous_use for a while, though with less than it has. */
export interface Warm {
  readonly joint: string;
  /** Along the stream, at rest, or where holding takes most in the soft limits. */
  readonly where: 'stream' | 'rest' | 'limits';
  /** Of its stall torque. */
  readonly share: number;
  /** Along a stream: how long on end, and from when. */
  readonly for_s: number | null;
  readonly from_s: number | null;
}

export interface LoadAnswer {
  /** Every joint gets to, holds and moves what is asked, not too hot, with the current there is: no trouble, nothing beyond. */
  readonly ok: boolean;
  /** The gravest first. */
  readonly troubles: readonly Trouble[];
  readonly rig: string;
  readonly stream: string | null;
  readonly without: readonly string[];
  readonly at: PlaceAnswer;
  /** What stops the platform from standing at the pose asked about, in words; null: nothing. */
  readonly stopped: string | null;
  readonly joints: readonly JointLoad[];
  /** Where the servos hold most easily, when they cannot at the place asked about; null else. */
  readonly easiest: Easiest | null;
  readonly seconds: number | null;
  /** Share of the stream at which the pose is out of reach, which is not counted. */
  readonly out_of_reach: number | null;
  /** Joints, but the legs, that the stream asks to go beyond their soft limits; counted as holding there. */
  readonly beyond: readonly Beyond[];
  /** Servos that hold with more than they may for long, though with less than they have. */
  readonly warm: readonly Warm[];
  readonly supply: SupplyLoad;
  /** How far it sags at the place asked about, by its servos' stiffness. */
  readonly sag: Sag;
  /** null: the platform is singular at the place asked about. */
  readonly modes: readonly Mode[] | null;
  readonly spare: readonly Spare[];
  /** The largest use of all, what `rests_on` moves; null: unknown. */
  readonly most: number | null;
  readonly rests_on: readonly RestsOn[];
  /** What of it weighs and is not known, in words without a stop: figures of holding are without it. */
  readonly unweighed: readonly string[];
  /** What is not known and left out, and what the model leaves out: words without a stop. */
  readonly left_out: readonly string[];
  /** What is not known and something likely stands for, in words without a stop. */
  readonly assumed: readonly string[];
  readonly model: readonly string[];
}
