/** The six components of a pose by name, with the units that files and answers show. */
import type { PoseAxis } from '../physics/kinematics/travel.ts';
import { type Pose, toDeg, toRad } from '../rig/rig.ts';

export const AXIS_NAMES = ['x', 'y', 'z', 'roll', 'pitch', 'yaw'] as const;
export type AxisName = (typeof AXIS_NAMES)[number];
export type AxisUnit = 'mm' | 'deg';

export const AXES = [0, 1, 2, 3, 4, 5] as const satisfies readonly PoseAxis[];

export const nameOf = (axis: PoseAxis): AxisName => AXIS_NAMES[axis];
export const unitOf = (axis: PoseAxis): AxisUnit => (axis < 3 ? 'mm' : 'deg');

/** The component of that name; null: there is none. */
export function axisOf(name: string): PoseAxis | null {
  const i = AXIS_NAMES.findIndex((known) => known === name);
  return i < 0 ? null : (i as PoseAxis);
}

/** A component's value in mm or rad as it is shown, mm or degrees; and back. */
export const shownAs = (axis: PoseAxis, value: number): number => (axis < 3 ? value : toDeg(value));
export const fromShown = (axis: PoseAxis, value: number): number => (axis < 3 ? value : toRad(value));

/** A unit step along one component. */
export const unitAlong = (axis: PoseAxis, sign: 1 | -1 = 1): Pose =>
  AXES.map((k) => (k === axis ? sign : 0)) as unknown as Pose;

/** Without what a trip through radians adds in the tenth decimal. */
export const settled = (value: number): number => Number(value.toFixed(9));
