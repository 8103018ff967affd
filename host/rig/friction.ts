/** Dry friction of a servo against its stall torque: from which share on it is much, and how that is said. */
import type { Servo } from './rig.ts';
import { newtonMetres } from './torque.ts';

/** A servo that spends so much on rubbing is not likely (ours: the gears of hobby servos lose some 10 to 20 %: a usual figure, not measured). */
export const MUCH_FRICTION = 0.3;

/** Of the stall torque; 0: none is given, or it cannot be told. */
export const frictionShare = ({ drive, friction_nm, stall }: Servo): number =>
  drive !== 'rotary' || friction_nm === null || stall === null || stall <= 0 ? 0 : friction_nm / stall;

/** Whether friction is what takes much of a servo's torque. */
export const rubsMuch = (servo: Servo): boolean => frictionShare(servo) >= MUCH_FRICTION;

/** `dry friction of 5.00 N·m (friction_nm) takes 255 % of its stall torque of 1.96 N·m`. */
export const frictionWords = (servo: Servo): string =>
  `dry friction of ${newtonMetres(servo.friction_nm ?? 0)} (friction_nm) takes ${(100 * frictionShare(servo)).toFixed(0)} % of its stall torque of ${newtonMetres(servo.stall ?? 0)}`;
