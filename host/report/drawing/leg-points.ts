/** Where the ends of a leg stand at home, in the base's frame, mm. */
import type { Platform, Rig, Vec3 } from '../../rig/rig.ts';
import { add } from '../../rig/rotation.ts';

/** The crank's tip; the base joint of an actuator. */
export function tipOf({ joints }: Rig, { drive, legs, crank_mm }: Platform, i: number): Vec3 {
  const leg = legs[i];
  const angle = joints[i]?.home ?? 0;
  if (!leg) throw new RangeError(`no leg ${String(i + 1)}`);
  if (drive === 'linear') return leg.base_mm;
  const out = crank_mm * Math.cos(angle);
  const azimuth = leg.azimuth_rad;
  return add(leg.base_mm, [out * Math.cos(azimuth), out * Math.sin(azimuth), crank_mm * Math.sin(angle)]);
}

/** The joint at the moving plate. */
export const plateEndOf = ({ legs, home_z_mm }: Platform, i: number): Vec3 =>
  add(legs[i]?.moving_mm ?? [NaN, NaN, NaN], [0, 0, home_z_mm]);
