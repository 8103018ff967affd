/**
 * How fast the legs must go for a given motion of the moving plate: the inverse Jacobian of the platform, f64, analytic.
 */
import type { Platform, Pose } from '../../rig/rig.ts';
import { cross, dot, rpyMatrix, sub } from '../../rig/rotation.ts';
import { endOf, geometryOf, startOf } from './geometry.ts';

/**
 * Fills the 6×6 matrix J with coordinate rates = J·twist. Twist: velocity of the pivot (mm/s), then angular velocity
 * (rad/s), both along the axes of the carrier's frame; these are not the rates of roll, pitch and yaw. Row i, from
 * |end - start|² = s²: with d = end - start and r from the pivot to the end, [d, r×d] / (d·∂start/∂α) for a crank
 * (rad per mm, and rad per rad), [d, r×d]/|d| for an actuator (Lynch & Park, Modern Robotics, ch. 7). Its transpose takes
 * leg torques (N·mm) or forces (N) to the wrench on the plate.
 * @param coordinates leg coordinates at the pose, rad or mm, as `inverseInto` gives them.
 * @param out 36 numbers, row-major.
 * @returns false when a crank is in line with its rod, where no finite rate answers; `out` is then no answer.
 */
export function jacobianInto(
  platform: Platform,
  pose: Pose,
  coordinates: ArrayLike<number>,
  out: Float64Array,
): boolean {
  const geometry = geometryOf(platform);
  const turn = rpyMatrix([pose[3], pose[4], pose[5]]);
  const centre = [
    geometry.pivot_mm[0] + pose[0],
    geometry.pivot_mm[1] + pose[1],
    geometry.pivot_mm[2] + pose[2],
  ] as const;
  let regular = true;
  geometry.legs.forEach((leg, i) => {
    const at = coordinates[i] ?? NaN;
    const end = endOf(geometry, leg, pose, turn);
    const d = sub(end, startOf(platform, leg, at));
    const moment = cross(sub(end, centre), d);
    const per = platform.drive === 'linear' ? at : lever(platform.crank_mm, at, dot(d, leg.u), dot(d, leg.k));
    regular &&= Math.abs(per) > (platform.drive === 'linear' ? 0 : IN_LINE * platform.crank_mm * platform.rod_mm);
    for (let k = 0; k < 3; k++) {
      out[6 * i + k] = d[k]! / per;
      out[6 * i + 3 + k] = moment[k]! / per;
    }
  });
  return regular;
}

/** Lever over crank times rod, below which the two are in line as far as f64 can tell. */
const IN_LINE = 1e-12;

/** d·∂start/∂α of a crank, mm². */
const lever = (crank_mm: number, angle: number, du: number, dk: number): number =>
  crank_mm * (dk * Math.cos(angle) - du * Math.sin(angle));
