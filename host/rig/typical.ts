/**
 * Figures of a servo that a data sheet does not give and a bench can: what they usually are, by the servo's size. Every one is usual,
 * not measured (ours, and common practice from memory), and is told so.
 */
import type { Rig, Servo } from './rig.ts';
import { toRad } from './rig.ts';
import { inertiaFor } from './rotor.ts';
import { servoClasses } from './servo-classes.ts';

export const NOT_MEASURED = '(usual, not measured)';

/** Error at the servo's own output at which it gives all it has, deg: what is taken where the file gives no stiffness. */
export const FULL_TORQUE_AT_DEG = 3;

/** Ranges that scale with the servo's size. */
const BY_SIZE = {
  /** Time constant of small brushed motors, s (rotor.ts). */
  motor_time_s: [0.005, 0.02],
  /** Share of the stall torque that gears and brushes rub away (friction.ts). */
  friction_share: [0.1, 0.2],
  /** Stiff to soft, deg. */
  full_torque_at_deg: [2, 6],
} as const;

type Range = readonly [least: number, most: number];

/** Keys of a rotary servo with a typical value. */
export const TYPICAL_KEYS = ['rotor_inertia_kgm2', 'stiffness_nm_rad', 'friction_nm'] as const;
export type TypicalKey = (typeof TYPICAL_KEYS)[number];

const UNITS: Readonly<Record<TypicalKey, string>> = {
  rotor_inertia_kgm2: 'kg·m²',
  stiffness_nm_rad: 'N·m/rad',
  friction_nm: 'N·m',
};

type Sized = Pick<Servo, 'drive' | 'stall' | 'no_load_speed'>;

/** From least to most, in the key's unit, at the servo's output; null: its size is not known, or it does not turn. */
export function typicalRange(servo: Sized, key: TypicalKey): Range | null {
  const { drive, stall } = servo;
  if (drive !== 'rotary' || stall === null) return null;
  const { friction_share: share, full_torque_at_deg: error, motor_time_s: time } = BY_SIZE;
  if (key === 'friction_nm') return [share[0] * stall, share[1] * stall];
  if (key === 'stiffness_nm_rad') return [stall / toRad(error[1]), stall / toRad(error[0])];
  const whole = inertiaFor(servo as Servo, 1);
  return whole === null ? null : [time[0] * whole, time[1] * whole];
}

const figure = (value: number): string => String(Number(value.toPrecision(2)));

/** `0.19 to 0.38 N·m`; null: nothing is usual. */
export function typicalFigures(servo: Sized, key: TypicalKey): string | null {
  const range = typicalRange(servo, key);
  return range && `${figure(range[0])} to ${figure(range[1])} ${UNITS[key]}`;
}

/** `2 to 6 deg are usual, not measured`: the error at which a servo gives all it has. */
export const FULL_TORQUE_USUAL = `${BY_SIZE.full_torque_at_deg.join(' to ')} deg are usual, not measured`;

/** Sizes of hobby servos, for whoever has no figure yet: stall torque N·m, seconds for 60 degrees (usual, not measured). */
const SIZES = [
  { name: 'micro', stall: 0.2, per60_s: 0.11 },
  { name: 'standard', stall: 1, per60_s: 0.16 },
  { name: 'large', stall: 3, per60_s: 0.17 },
] as const;

/** The same for each size, in a phrase. */
export const typicalBySize = (key: TypicalKey): string =>
  SIZES.map(({ name, stall, per60_s }) => {
    const servo: Sized = { drive: 'rotary', stall, no_load_speed: toRad(60) / per60_s };
    return `${typicalFigures(servo, key) ?? ''} for a ${name} servo of ${figure(stall)} N·m`;
  }).join(', ');

/** Play of the gear between a servo and its joint, at the joint. */
export const GEAR_PLAY = '0.1 to 0.3 deg for a tight belt or cut gears, 0.3 to 1 deg for printed gears';

/** What the file does not give and a bench would, by key path, with what is usual; only what a usual value is known for. */
export function typicalOf({ joints }: Rig): readonly { readonly path: string; readonly usual: string }[] {
  const ofServos = servoClasses(joints).flatMap((servo) =>
    TYPICAL_KEYS.flatMap((key) => {
      const usual = servo[key] === null ? typicalFigures(servo, key) : null;
      return usual === null ? [] : [{ path: `servos.${servo.name}.${key}`, usual }];
    }),
  );
  const ofGears = joints
    .filter(({ gear_ratio, gear_play_rad }) => gear_ratio !== 1 && gear_play_rad === null)
    .map(({ name }) => ({ path: `joints.${name}.gear_play_deg`, usual: GEAR_PLAY }));
  return [...ofServos, ...ofGears];
}
