/** Figures in the words of `why`: every one with its unit. */
import { effortUnit } from '../physics/servo-line.ts';
import { type Joint, toShown } from '../rig/rig.ts';

/** What a servo gives at a standstill is called. */
export const stallWords = ({ unit }: Pick<Joint, 'unit'>): string => (unit === 'deg' ? 'stall torque' : 'stall force');
/** Two decimals, and for a small servo as many more as it takes to say two digits. */
export function torque(joint: Joint, value: number): string {
  const size = Math.abs(value);
  const shown = size > 0 && size < 0.1 ? Number(size.toPrecision(2)).toString() : size.toFixed(2);
  return `${size < 1e-6 ? '0' : shown} ${effortUnit(joint)}`;
}
export const percent = (share: number): string => `${(share * 100).toFixed(0)} %`;
export const ampere = (value: number): string => `${value.toFixed(1)} A`;
export const seconds = (value: number): string => `${value.toFixed(2)} s`;
/** A coordinate in shown units. */
export const place = (joint: Joint, shown: number): string => `${shown.toFixed(0)} ${joint.unit}`;
export const speed = (joint: Joint, value: number): string => `${toShown(joint, value).toFixed(0)} ${joint.unit}/s`;
export const accel = (joint: Joint, value: number): string => `${toShown(joint, value).toFixed(0)} ${joint.unit}/s²`;
