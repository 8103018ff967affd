/** What follows from the answers by the rules of the trade: the figures that a maker is not asked for. Typical: ours, not measured. */
import { FULL_TORQUE_AT_DEG } from '../rig/typical.ts';
import { toRad } from '../rig/rig.ts';
import { MOTOR_TIME_S } from '../rig/rotor.ts';
import { KGF_CM } from '../rig/torque.ts';
import type { Answers } from './questions.ts';
import { type Ring, ringOf } from './ring.ts';

/** A turning servo by its sheet, in the units of the rig. */
export interface Turning {
  readonly no_load_deg_s: number;
  readonly rotor_kgm2: number;
  readonly stiffness_nm_rad: number;
  readonly friction_nm: number;
}

/** Of the stall torque, lost in the gears (usual: 10 to 20 %, not measured). */
const FRICTION_SHARE = 0.1;

/** Of a servo’s sheet (kgf·cm, s/60 deg): no-load speed in deg/s; assumed, rotor inertia in kg·m², stiffness in N·m/rad, friction in N·m. */
export function turningOf([kgcm, s_per_60deg]: Answers['servo']): Turning {
  const stall_nm = KGF_CM * kgcm;
  const no_load_deg_s = 60 / s_per_60deg;
  return {
    no_load_deg_s,
    rotor_kgm2: (MOTOR_TIME_S * stall_nm) / toRad(no_load_deg_s),
    stiffness_nm_rad: stall_nm / toRad(FULL_TORQUE_AT_DEG),
    friction_nm: FRICTION_SHARE * stall_nm,
  };
}

/** The base's servos are near each other within a pair; on the plate the pairs lie apart, so that rods lean to both sides and hold yaw. */
export const ringsOf = ({
  base_ring_mm: [near, far],
  plate_ring_mm: [short, long],
}: Answers): Record<'base' | 'plate', Ring> => ({
  base: ringOf(near, far),
  plate: ringOf(long, short),
});

/** Height of home with linear legs half out; NaN: they lie flatter than that. */
export function middleHeight_mm(answers: Answers): number {
  const { product_mm2, squares_mm2, turn_rad } = facing(answers);
  return Math.sqrt(middleOf(answers) ** 2 - squares_mm2 + 2 * product_mm2 * Math.cos(turn_rad));
}

const middleOf = ({ stroke_mm: [shortest, longest] }: Answers): number => (shortest + longest) / 2;

/** How the joints of the plate stand to those of the base, seen from above: the product and the squares of the radii, the turn of each leg. */
function facing(answers: Answers): { product_mm2: number; squares_mm2: number; turn_rad: number } {
  const { base, plate } = ringsOf(answers);
  return {
    product_mm2: base.radius_mm * plate.radius_mm,
    squares_mm2: base.radius_mm ** 2 + plate.radius_mm ** 2,
    turn_rad: toRad(Math.abs(plate.half_angle_deg - base.half_angle_deg)),
  };
}

/** Of a linear servo's stroke, kept free in all; and of the lengths at which a plate could turn a quarter, used. */
const SPARE_SHARE = 0.04;
const TURN_SHARE = 0.7;

/**
 * Soft limits of linear legs: clear of both ends, and so near each other that yaw cannot reach a quarter turn, where the plate hangs
 * loose. There the squares of the lengths of two neighbouring legs, r² + s² − 2·r·s·cos(turn ± 90°) + z², differ by 4·r·s·sin turn
 * at any height z; and lengths m ± d/2 have squares that differ by 2·m·d.
 */
export function strokeLimits_mm(answers: Answers): {
  readonly limits: readonly [number, number];
  readonly narrowed: boolean;
} {
  const [shortest, longest] = answers.stroke_mm;
  const middle = middleOf(answers);
  const { product_mm2, turn_rad } = facing(answers);
  const whole = (1 - SPARE_SHARE) * (longest - shortest);
  const safe = (TURN_SHARE * 2 * product_mm2 * Math.sin(turn_rad)) / middle;
  const half = Math.min(whole, safe) / 2;
  return { limits: [middle - half, middle + half], narrowed: safe < whole };
}

/** Which share of its no-load speed a joint may use: what is left is torque (usual, ours). */
const SPEED_SHARE = 0.55;
/** Every joint stops within so long, which the look-ahead of 150 ms covers. */
const STOP_S = 0.14;

/** The first limits of a joint: of its speed a share, and to stop in time. `no_load` per second, in any unit. */
export const limitsOf = (no_load: number): { readonly speed: number; readonly accel: number } => ({
  speed: SPEED_SHARE * no_load,
  accel: (SPEED_SHARE * no_load) / STOP_S,
});
