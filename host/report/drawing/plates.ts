/** The two plates of a platform as a builder measures them: rings where they are rings, else joint by joint. */
import type { Platform, Vec3 } from '../../rig/rig.ts';
import { toDeg } from '../../rig/rig.ts';
import { sub } from '../../rig/rotation.ts';

export type PlateName = 'base' | 'moving';

/** A plate of three pairs on one circle: radius in mm, half the angle of a pair in degrees. */
export interface Ring {
  readonly radius_mm: number;
  readonly half_angle_deg: number;
}

export const jointsOf = ({ legs }: Platform, plate: PlateName): readonly Vec3[] =>
  legs.map((leg) => leg[`${plate}_mm`]);

/** Points given to a hundredth of a millimetre still make a ring. */
const SAME_MM = 0.01;

/** The ring that a plate's joints lie on, in pairs about 0, 120 and 240 degrees; null: they don't. */
export function ringOf(joints: readonly Vec3[]): Ring | null {
  const [, second = [0, 0, 0]] = joints;
  const radius_mm = Math.hypot(second[0], second[1]);
  const half_rad = Math.atan2(second[1], second[0]);
  const off = joints.map((joint, i) => {
    const angle = (Math.floor(i / 2) * 2 * Math.PI) / 3 + (i % 2 === 0 ? -half_rad : half_rad);
    return Math.hypot(...sub(joint, [radius_mm * Math.cos(angle), radius_mm * Math.sin(angle), 0]));
  });
  return half_rad > 0 && Math.max(...off) < SAME_MM ? { radius_mm, half_angle_deg: toDeg(half_rad) } : null;
}

/** Between the joints of leg i and leg j on a plate, mm. */
export const between = (joints: readonly Vec3[], i: number, j: number): number =>
  Math.hypot(...sub(joints[i] ?? [NaN, NaN, NaN], joints[j] ?? [NaN, NaN, NaN]));
