/**
 * What is wanted of a platform, read and resolved: lengths in mm, angles in rad, masses in kg, torques in N·m, shares as such. What is
 * not said to be free stays as the given rig has it, but for the plates, the cranks' azimuth and the height of home.
 */
import type { Clearance } from '../../rig/clearance.ts';
import type { Rig, Servo, Vec3 } from '../../rig/rig.ts';
import type { StoredStream } from '../../stream/stored.ts';

/** Sizes that exist, in rising order; or any from lowest to highest. */
export type Sizes = { readonly list: readonly number[] } | { readonly lowest: number; readonly highest: number };

/** From home, at least: along each component of the pose, mm or rad; minus is 0 or less. */
export interface Travel {
  readonly minus: number;
  readonly plus: number;
}

export interface Must {
  /** x, y, z, roll, pitch, yaw; 0 where nothing is asked. */
  readonly travel: readonly Travel[];
  /** Share of all of these at once that must be in reach, corner by corner; 0: not asked. */
  readonly together: number;
  /** A stream whose every pose must be in reach; null: none. */
  readonly follow: { readonly name: string; readonly stored: StoredStream } | null;
  /** So much more travel than asked, as a share of it. */
  readonly spare_travel: number;
  /** Standard deviation of every joint's place when it is built. */
  readonly built_within_mm: number;
}

/** At most: circles through the joints of base and plate, and the height at home from the base plate's face (heightOf, evaluate/sizes.ts). */
export interface Room {
  readonly base_radius_mm: number;
  readonly plate_radius_mm: number;
  readonly height_mm: number;
}

/** What may be chosen. */
export interface Stock {
  readonly base_radius_mm: Sizes;
  readonly plate_radius_mm: Sizes;
  readonly base_half_rad: Sizes;
  readonly plate_half_rad: Sizes;
  /** Crank platforms, else null. */
  readonly crank_mm: Sizes | null;
  readonly rod_mm: Sizes | null;
  /** Linear platforms, else null: shortest and longest, pin to pin, of the actuators that exist. */
  readonly stroke_mm: readonly (readonly [number, number])[] | null;
  /** null: level. */
  readonly home_z_mm: Sizes | null;
  readonly facing: readonly ('outward' | 'inward')[];
  /** Which way cranks point at angle 0 stays as given: the base is kept, and nothing else is asked. `facing` is then not read. */
  readonly keep_azimuths: boolean;
  /** Cranks may turn so far up and down; null: as given. */
  readonly limit_rad: Sizes | null;
  /** Plates that stay as given, symmetric or not. */
  readonly keep: readonly ('base' | 'plate')[];
}

/** What must not be exceeded, or must not be fallen short of. */
export interface Firm {
  /** 0: not asked. */
  readonly lowest_hz: number;
  /** Share of a servo's torque: to move along the stream, and to hold anywhere that is asked for. */
  readonly use: number;
  readonly hold_use: number;
}

/** So much heavier and so much less voltage everything must still hold with; shares. */
export interface Margins {
  readonly heavier: number;
  readonly less_voltage: number;
}

/** A servo that may be bought. */
export interface ServoChoice {
  readonly name: string;
  /** In the want file's own money, each. null: not told. */
  readonly price: number | null;
  /** Its body; null: that of the clearance. */
  readonly body_mm: Vec3 | null;
  readonly servo: Servo;
  /** Its keys as they go into a rig file. */
  readonly file: Readonly<Record<string, unknown>>;
  readonly centre_us: number;
  /** Per degree or per mm. */
  readonly us_per_shown: number;
  readonly range_us: readonly [number, number];
}

/** A weight opposite to all that an axis carries (counterweight.ts). */
export interface CounterweightChoice {
  readonly kg: Sizes;
  /** From the axis. */
  readonly at_mm: Sizes;
}

/** What is free of a joint that is no leg. */
export interface AxisChoice {
  readonly joint: string;
  /** Its place in the rig's joints. */
  readonly index: number;
  /** null: as given. */
  readonly gear_ratio: Sizes | null;
  readonly counterweight: CounterweightChoice | null;
  /** The part that the counterweight stands in for: not fitted in Want.base; null: none. */
  readonly instead_of: string | null;
  /** Places in Want.servos; empty: as given. */
  readonly servos: readonly number[];
  /** At its servo's output, to hold anywhere that the soft limits allow, as `load` has it: without margins; null: not asked. */
  readonly most_nm: number | null;
}

/** Whether what moves it is designed; a counterweight alone leaves its servo to what a stream asks. */
export const isDriven = ({ gear_ratio, servos }: AxisChoice): boolean => gear_ratio !== null || servos.length > 0;

export const BETTER = ['travel', 'use', 'frequency', 'price', 'size'] as const;
export type Better = (typeof BETTER)[number];

export interface Want {
  readonly name: string;
  /** The given rig, with what the want file fixes besides (rod ends, clearances, a counterweight taken off), and its text. */
  readonly base: Rig;
  readonly base_text: string;
  /** By leg: the rig file gives its soft limits by themselves (`joints.legN.limit_deg`), not with those of all legs. */
  readonly own_limits: readonly boolean[];
  readonly must: Must;
  readonly room: Room;
  readonly stock: Stock;
  readonly clearance: Clearance;
  readonly firm: Firm;
  readonly margins: Margins;
  readonly servos: readonly ServoChoice[];
  /** Places in `servos` that the legs may have; empty: as given. */
  readonly leg_servos: readonly number[];
  readonly axes: readonly AxisChoice[];
  readonly better: readonly Better[];
}
