/**
 * The rig as the rest of the host sees it: every figure resolved to one number in one unit, every default filled in.
 * Lengths in mm, angles in rad, masses in kg, times in s, torques in N·m, forces in N, inertias in kg·m². Figures that the
 * file calls `unknown` are null here. What a figure rests on (measured, sheet, …) stands beside, in `sources`.
 */
import type { GivenClearance } from './clearance.ts';
import type { Link } from './links.ts';
import type { Night } from './night/night.ts';
import type { Mat3 } from './rotation.ts';

/** x, y, z; the unit is in the name of what holds it. */
export type Vec3 = readonly [number, number, number];

/**
 * Displacement of the moving plate from home in the carrier's frame: x, y, z in mm, then roll, pitch, yaw in rad,
 * with R = Rz(yaw)·Ry(pitch)·Rx(roll). See DEVELOPERS.md, "Frames".
 */
export type Pose = readonly [number, number, number, number, number, number];

export const HOME: Pose = [0, 0, 0, 0, 0, 0];
export const POSE_KEYS = ['x_mm', 'y_mm', 'z_mm', 'roll_deg', 'pitch_deg', 'yaw_deg'] as const;

/** A frame fixed in a carrier: its origin, and roll, pitch, yaw about the carrier's axes. */
export interface Placement {
  readonly at_mm: Vec3;
  readonly rpy_rad: Vec3;
}

/** Geometry of one leg, base frame (z off the base plate), moving points in the moving plate's frame. */
export interface Leg {
  readonly base_mm: Vec3;
  readonly moving_mm: Vec3;
  /** Azimuth of the crank at angle 0; 0 for linear legs. */
  readonly azimuth_rad: number;
}

export interface Platform {
  readonly drive: 'crank' | 'linear';
  /** Name of the joint that carries the base; null: the ground. */
  readonly on: string | null;
  /** Whether the file said how the base is mounted; without, it is taken as level on its carrier. */
  readonly mounted: boolean;
  readonly mount: Placement;
  /** leg1 … leg6. */
  readonly legs: readonly Leg[];
  /** Crank rigs only, else 0. */
  readonly crank_mm: number;
  readonly rod_mm: number;
  /** Of one crank and one rod, crank rigs only; null: not given, or unknown. */
  readonly crank_kg: number | null;
  readonly rod_kg: number | null;
  readonly branch: 'near' | 'other';
  /** Linear rigs only, else null: shortest and longest, pin to pin. */
  readonly stroke_mm: readonly [number, number] | null;
  /** Largest misalignment of a rod end; null: not checked. */
  readonly rod_end_rad: number | null;
  readonly home_z_mm: number;
  /** Fixed in the moving plate's frame. */
  readonly pivot_mm: Vec3;
  readonly rest: Pose;
  /** What the file gives of its bodies' sizes, for collisions; what it leaves out is usual (clearance.ts). */
  readonly clearance?: GivenClearance;
}

/** A servo class with the supply's voltage already chosen. Rotary: N·m, rad/s; linear: N, mm/s in the same places. */
export interface Servo {
  readonly name: string;
  readonly drive: 'rotary' | 'linear';
  readonly stall: number | null;
  readonly no_load_speed: number | null;
  readonly stall_current_a: number | null;
  readonly frame_hz: number;
  readonly deadband_us: number | null;
  readonly rotor_inertia_kgm2: number | null;
  readonly stiffness_nm_rad: number | null;
  /** Dry friction at its output, rotary only. */
  readonly friction_nm: number | null;
  /** Thermal time constant. */
  readonly thermal_tau_s: number | null;
  readonly continuous_use: number;
  readonly peak_use: number;
  /** Teeth of the shaft that the horn sits on. */
  readonly spline_teeth: number;
  readonly no_pulse: 'limp' | 'holds' | 'unknown';
}

/** A joint's load when it does not come from `parts`. Gravity torque m·g·arm·cos(θ - arm_level_at), resisting +. */
export interface PointLoad {
  readonly mass_kg: number | null;
  readonly arm_mm: number | null;
  readonly arm_level_at_rad: number;
  readonly inertia_kgm2: number | null;
}

/**
 * One joint, one coordinate: crank angle (rad), actuator length (mm) or axis angle at the load side of its gear (rad).
 * Speed and acceleration limits, positions and pulses per unit all use that coordinate's unit.
 */
export interface Joint {
  readonly name: string;
  readonly kind: 'leg' | 'axis';
  /** What files and messages show: degrees or mm. `toShown` converts. */
  readonly unit: 'deg' | 'mm';
  readonly servo: Servo;
  readonly pin: number;
  readonly sense: 1 | -1;
  readonly centre_us: number;
  /** Pulse = centre_us + sense · us_per_unit · (position - centre). Gear ratio included. */
  readonly us_per_unit: number;
  /** Coordinate at centre_us: 0 for angles, mid-stroke for lengths. */
  readonly centre: number;
  readonly range_us: readonly [number, number];
  /** Soft limits, lo < hi. */
  readonly lo: number;
  readonly hi: number;
  /** From where to where it was walked through in a bring-up; null: it was not. */
  readonly walked: readonly [number, number] | null;
  /** Where it is parked, and where it stands at home, both within the soft limits. */
  readonly rest: number;
  readonly home: number;
  readonly speed: number;
  readonly plus: number;
  readonly minus: number;
  /**
   * Plus falls evenly with upward speed, from all of it at rest to none at plus_gone, as a servo's torque does; minus with downward
   * speed. Braking keeps all of its own. Infinity: it stays.
   */
  readonly plus_gone: number;
  readonly minus_gone: number;
  readonly gear_ratio: number;
  readonly gear_efficiency: number;
  readonly gear_play_rad: number | null;
  /** Axis joints with a place in space; carrier null: the ground. */
  readonly axis: { readonly on: string | null; readonly at_mm: Vec3; readonly along: Vec3 } | null;
  /** A joint without an axis: where it sits on the moving plate, in its frame, and what its load weighs there; null: not told. */
  readonly at_mm: Vec3 | null;
  readonly load: PointLoad | null;
}

export type Shape =
  | { readonly kind: 'ellipsoid_shell' | 'ellipsoid'; readonly radii_mm: Vec3 }
  | { readonly kind: 'box'; readonly size_mm: Vec3 }
  | { readonly kind: 'cylinder'; readonly radius_mm: number; readonly length_mm: number; readonly along: Vec3 }
  | MeshShape;

/** A closed mesh of even density, along the carrier's axes; all places are from its centre of mass. */
export interface MeshShape {
  readonly kind: 'mesh';
  /** As in the rig file. */
  readonly file: string;
  readonly origin_mm: Vec3;
  /** The box around it. */
  readonly middle_mm: Vec3;
  readonly size_mm: Vec3;
  /** About its centre of mass, for 1 kg in all: row-major, symmetric. */
  readonly inertia_mm2: Mat3;
}

/** Something that weighs. `on`: 'moving', 'base', 'ground' or a joint's name; at_mm is its centre of mass in that frame. */
export interface Part {
  readonly name: string;
  readonly on: string;
  readonly mass_kg: number | null;
  readonly at_mm: Vec3;
  readonly shape: Shape | null;
  /** About the centre of mass, axes of the carrier's frame: xx, yy, zz. */
  readonly inertia_kgmm2: Vec3 | null;
  readonly fitted: boolean;
}

export interface Motion {
  readonly tick_hz: number;
  readonly playback_delay_ms: number;
  /** How much of the delay the controller sees of what comes, in whole ticks (look-ahead.ts); the rest bears jitter. */
  readonly look_ahead_ms: number;
  /** Per pose component, mm/s and rad/s; null: that component is bounded by the joints alone. */
  readonly pose_speed: readonly (number | null)[];
  /** Seconds of holding before it settles by itself. */
  readonly hold_s: number;
  readonly wobble: {
    readonly cure: 'none' | 'exact' | 'tolerant' | 'broad';
    readonly hz: number | null;
    readonly damping: number | null;
  };
}

export interface Supply {
  readonly kind: 'mains' | 'battery';
  readonly voltage_v: number | null;
  readonly current_a: number | null;
  readonly cells: number | null;
  readonly low_v: number | null;
  readonly fuse_a: number | null;
}

export interface Board {
  readonly kind: string;
  readonly link: Link;
  /** Of uart0; null: a link over USB has no rate. */
  readonly baud: number | null;
  readonly stop: { readonly pin: number; readonly category: 0 | 1 | 2 } | null;
  readonly power_pin: number | null;
}

/** Where a figure comes from, and how far it may be off. */
export interface Source {
  readonly from: 'given' | 'measured' | 'sheet' | 'estimate' | 'assumed' | 'unknown';
  readonly within_percent: number | null;
}

export interface Rig {
  readonly name: string;
  readonly platform: Platform | null;
  readonly parts: readonly Part[];
  /** leg1 … leg6 first when there is a platform, then the others in file order; at most 16. */
  readonly joints: readonly Joint[];
  readonly motion: Motion;
  readonly supply: Supply | null;
  readonly rest: 'on_stop' | 'hanging' | 'powered';
  readonly audience: 'bench' | 'behind_barrier' | 'within_reach';
  readonly board: Board | null;
  /** What the board plays by itself; null: nothing. */
  readonly night: Night | null;
  /** Figures that said where they come from, by key path such as `servos.neck.stall_torque_nm`. */
  readonly sources: ReadonlyMap<string, Source>;
}

const DEG = Math.PI / 180;
export const toRad = (deg: number): number => deg * DEG;
export const toDeg = (rad: number): number => rad / DEG;

/** A joint's coordinate (or its rate) in the unit that files and messages show. */
export const toShown = (joint: Pick<Joint, 'unit'>, value: number): number =>
  joint.unit === 'deg' ? toDeg(value) : value;
