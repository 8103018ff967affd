/** How stiffly a servo holds its place, at the joint's coordinate: measured, or assumed from its stall torque. */
import { type Joint, toRad } from '../../rig/rig.ts';
import { FULL_TORQUE_AT_DEG, FULL_TORQUE_USUAL } from '../../rig/typical.ts';
import { short } from '../../rig/words.ts';
import { stallOf } from './servo-line.ts';

/** The same of a linear servo (assumed). */
export const FULL_FORCE_AT_MM = 1;

export interface Stiffness {
  /** N·m/rad or N/mm; behind a gear the ratio counts twice. */
  readonly stiffness: number;
  readonly assumed: boolean;
}

/** Null: neither its stiffness nor its stall torque is known. */
export function stiffnessOf(joint: Joint): Stiffness | null {
  const { servo, gear_ratio, gear_efficiency } = joint;
  if (servo.drive === 'rotary' && servo.stiffness_nm_rad !== null)
    return { stiffness: servo.stiffness_nm_rad * gear_ratio ** 2, assumed: false };
  const stall = stallOf(joint);
  if (stall === null) return null;
  if (servo.drive === 'linear') return { stiffness: stall / FULL_FORCE_AT_MM, assumed: true };
  return { stiffness: ((stall / gear_efficiency) * gear_ratio) / toRad(FULL_TORQUE_AT_DEG), assumed: true };
}

/** What is assumed of the stiffness of these joints, a sentence for each kind of servo, and whether it can be measured. */
export function stiffnessWords(joints: readonly Joint[]): string[] {
  const assumes = (drive: 'rotary' | 'linear'): boolean =>
    joints.some((joint) => joint.servo.drive === drive && stiffnessOf(joint)?.assumed === true);
  return [
    ...(assumes('rotary')
      ? [
          `a servo reaches full torque at an error of ${short(FULL_TORQUE_AT_DEG, 1)} deg (assumed: measure stiffness_nm_rad; ${FULL_TORQUE_USUAL})`,
        ]
      : []),
    ...(assumes('linear')
      ? [`a linear servo reaches full force at an error of ${short(FULL_FORCE_AT_MM, 1)} mm (assumed)`]
      : []),
  ];
}
