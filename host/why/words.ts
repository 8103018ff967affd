/** Figures in the words of `why`: every one with its unit. */
import { effortUnit } from '../physics/servo-line.ts';
import { type Joint, toShown } from '../rig/rig.ts';

export const torque = (joint: Joint, value: number): string => `${Math.abs(value).toFixed(2)} ${effortUnit(joint)}`;
export const percent = (share: number): string => `${(share * 100).toFixed(0)} %`;
export const ampere = (value: number): string => `${value.toFixed(1)} A`;
export const seconds = (value: number): string => `${value.toFixed(2)} s`;
/** A coordinate in shown units. */
export const place = (joint: Joint, shown: number): string => `${shown.toFixed(0)} ${joint.unit}`;
export const speed = (joint: Joint, value: number): string => `${toShown(joint, value).toFixed(0)} ${joint.unit}/s`;
export const accel = (joint: Joint, value: number): string => `${toShown(joint, value).toFixed(0)} ${joint.unit}/s²`;
