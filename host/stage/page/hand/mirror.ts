/** Left and right changed over: of a pose and of the joints that go with it. */
import type { Joint, Rig } from '../../../rig/rig.ts';

/** Of x, y, z, roll, pitch, yaw in the plane of symmetry y = 0: a length across it and turns about what lies in it change sign. */
const SIGNS = [1, -1, 1, -1, 1, -1];

const SIDES = { left: 'right', right: 'left', l: 'r', r: 'l' } as const;

/** The joint's name for the other side: `ear_left` and `ear_right`, `l_brow` and `r_brow`. */
export const otherSide = (name: string): string =>
  name.replace(/(?<![a-z])(left|right|l|r)(?![a-z])/i, (side) => SIDES[side.toLowerCase() as keyof typeof SIDES]);

/** An axis across the plane turns the same way on its other side; what lies in the plane, against it. */
const signOf = ({ axis }: Joint): number =>
  axis && Math.abs(axis.along[1]) < Math.hypot(axis.along[0], axis.along[2]) ? -1 : 1;

/** @param values pose (mm, rad), then the joints but the legs */
export function mirrored(rig: Rig, values: Float64Array): Float64Array {
  const joints = rig.joints.filter(({ kind }) => kind !== 'leg');
  const out = Float64Array.from(values, (value, i) => (i < 6 ? value * SIGNS[i]! : value));
  joints.forEach((joint, k) => {
    const other = joints.findIndex(({ name }) => name === otherSide(joint.name));
    const from = values[6 + (other < 0 ? k : other)]!;
    out[6 + k] = other >= 0 && other !== k ? from : signOf(joint) * from;
  });
  return out;
}
