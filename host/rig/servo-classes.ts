/** The servo classes that a rig's joints have. */
import type { Joint, Servo } from './rig.ts';

/** Each once, in the order of the joints. */
export const servoClasses = (joints: readonly Pick<Joint, 'servo'>[]): readonly Servo[] => [
  ...new Map(joints.map(({ servo }) => [servo.name, servo])).values(),
];
