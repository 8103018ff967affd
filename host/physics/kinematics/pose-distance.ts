/**
 * How far two poses lie apart, as someone looking at the plate would say it.
 */
import type { Pose } from '../../rig/rig.ts';
import { rpyInto } from '../../rig/rotation.ts';

const [p, q] = [new Float64Array(9), new Float64Array(9)];

/**
 * Distance between two poses: how far the pivot is displaced (mm), and the angle of the one rotation that turns the first
 * plate into the second (rad, 0 to π): that of RaᵀRb, from its sine and cosine so that small angles keep their digits.
 */
export function poseDistance(a: Pose, b: Pose): { readonly mm: number; readonly rad: number } {
  rpyInto(a[3], a[4], a[5], p);
  rpyInto(b[3], b[4], b[5], q);
  const twiceSine = norm(entry(2, 1) - entry(1, 2), entry(0, 2) - entry(2, 0), entry(1, 0) - entry(0, 1));
  const twiceCosine = entry(0, 0) + entry(1, 1) + entry(2, 2) - 1;
  return {
    mm: norm(a[0] - b[0], a[1] - b[1], a[2] - b[2]),
    rad: Math.atan2(twiceSine, twiceCosine),
  };
}

/** Of pᵀ·q. */
const entry = (i: number, j: number): number => p[i]! * q[j]! + p[i + 3]! * q[j + 3]! + p[i + 6]! * q[j + 6]!;

const norm = (x: number, y: number, z: number): number => Math.sqrt(x * x + y * y + z * z);
