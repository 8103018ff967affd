/** The joint or the part that is measured, or why it cannot be. */
import type { Joint, Part } from '../rig/rig.ts';
import { type AxisName, type Reading, type Readings, type Refused, type Subject, refused } from './measurement.ts';
import type { Uncertain } from './propagate.ts';

export const jointOf = ({ rig, joint }: Subject): Joint => {
  const found = rig.joints.find(({ name }) => name === joint);
  if (!found) throw new Error(`no joint ${String(joint)}`);
  return found;
};

export const partOf = ({ rig, part }: Subject): { readonly part: Part; readonly index: number } => {
  const index = rig.parts.findIndex(({ name }) => name === part);
  const found = rig.parts[index];
  if (!found) throw new Error(`no part ${String(part)}`);
  return { part: found, index };
};

/** A part whose place is its centre of mass; one with a mesh has both from there. */
export function plainPart(subject: Subject): ReturnType<typeof partOf> | Refused {
  const found = partOf(subject);
  const { name, shape } = found.part;
  return shape?.kind === 'mesh'
    ? refused(
        '--part',
        `${name} has its centre and inertia from ${shape.file} in the rig: to go by a measurement, delete its shape and make at_mm its centre of mass`,
      )
    : found;
}

/** A joint that turns. */
export function rotaryJoint(subject: Subject): Joint | Refused {
  const joint = jointOf(subject);
  return joint.servo.drive === 'rotary'
    ? joint
    : refused('--joint', `${joint.name} is a linear actuator: this measurement is of a servo that turns`);
}

const AXES: readonly AxisName[] = ['x', 'y', 'z'];
export const axisIndex = ({ axis }: Subject): number => AXES.indexOf(axis ?? 'x');

/** Percent that a weight of the rig may be off where it does not say (ours: a kitchen scale, a servo's sheet). */
const USUAL_PERCENT = 5;

/** The weight of a part or a load as a whole. */
export const MASS: Reading = {
  name: 'mass-kg',
  says: 'what the whole weighs, if the rig is not to be believed',
  tool: 'scale',
  least: 1e-6,
  most: 500,
  optional: true,
};

/** What was weighed now, else what the rig says. */
export function massOf(readings: Readings, path: string, mass_kg: number | null | undefined): Uncertain | Refused {
  const mass = readings.may('mass-kg') ?? readings.ofRig(path, mass_kg, USUAL_PERCENT);
  return mass && mass.value > 0
    ? mass
    : refused('--mass-kg', 'is missing: the rig does not say what it weighs. Weigh it and give this');
}
