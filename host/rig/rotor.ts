/**
 * What a servo's motor and gears add to what it must set going, seen at its output. Where the file does not say, it is taken from
 * the mechanical time constant τ = J·no-load speed / stall torque: the time in which an unloaded motor reaches 63 % of its no-load
 * speed. Small brushed motors have 5 to 20 ms (a usual figure, not measured); Pittman's (Ametek) data sheets of 9233S013 and 14203S010 give a rotor
 * inertia, a no-load speed and a stall torque that make it 9.1 and 6.9 ms.
 */
import type { Joint, Servo } from './rig.ts';

/** Taken where the file gives no inertia (ours, within the usual range). */
export const MOTOR_TIME_S = 0.01;
/** A motor that is quicker than this is not likely: its inertia in the file is too small (ours, a fifth of the usual least). */
export const LEAST_MOTOR_TIME_S = 1e-3;

/** A motor that is slower than this is not likely either: its inertia in the file is in other units (ours, ten times the usual most). */
export const MOST_MOTOR_TIME_S = 0.2;

const MM = 1e-3;

/** Inertia at the output for a time constant, kg·m², or kg of a linear servo; null: stall torque or no-load speed is unknown. */
export function inertiaFor({ drive, stall, no_load_speed }: Servo, time_s: number): number | null {
  if (stall === null || no_load_speed === null || no_load_speed === 0) return null;
  return (time_s * stall) / (drive === 'linear' ? no_load_speed * MM : no_load_speed);
}

/** The time constant that a given inertia means, s; null: none is given, or it cannot be told. */
export function motorTime_s(servo: Servo): number | null {
  const whole = inertiaFor(servo, 1);
  return servo.rotor_inertia_kgm2 === null || whole === null || whole === 0 ? null : servo.rotor_inertia_kgm2 / whole;
}

export interface Rotor {
  /** At the servo's output: kg·m², or kg of a linear servo. */
  readonly inertia: number;
  /** Not in the file. */
  readonly assumed: boolean;
}

/** Null: neither given nor to be assumed, since stall torque or no-load speed is unknown. */
export function rotorOf(servo: Servo): Rotor | null {
  if (servo.rotor_inertia_kgm2 !== null) return { inertia: servo.rotor_inertia_kgm2, assumed: false };
  const inertia = inertiaFor(servo, MOTOR_TIME_S);
  return inertia === null ? null : { inertia, assumed: true };
}

/** The same at a joint's coordinate, behind its gear, kg·m² or kg; 0 where it is not known. */
export const rotorAt = ({ servo, gear_ratio }: Pick<Joint, 'servo' | 'gear_ratio'>): number =>
  (rotorOf(servo)?.inertia ?? 0) * gear_ratio ** 2;
