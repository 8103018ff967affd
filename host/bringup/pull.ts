/** `pull`: gravity torque and friction of a joint, with a luggage scale on a string. */
import { toDeg } from '../rig/rig.ts';
import { armOf, pulled } from './formulas.ts';
import {
  type Measurement,
  type Outcome,
  type Readings,
  type Refused,
  type Subject,
  LOST,
  measuredFigure,
  present,
  refused,
} from './measurement.ts';
import { type Uncertain, propagate } from './propagate.ts';
import { rotaryJoint } from './subjects.ts';

/** Beyond so far from level (ours), the arm of a load is told too poorly by its torque: 1 degree is 3 % of it there. */
const STEEPEST_DEG = 60;

export const PULL: Measurement = {
  what: 'pull',
  summary: 'gravity torque and friction of a joint: a luggage scale on a string',
  how: 'Servo without power, rods off, the string square to the arm. Pull slowly up through the place of interest and read the scale while it moves; then let it down as slowly, and read again.',
  source: 'statics at constant speed: half the sum is gravity, half the difference Coulomb friction',
  caution:
    'Caution: the supply is off and unplugged, something catches the load should the string slip, and no finger is below it.',
  of: [['joint']],
  readings: [
    { name: 'radius-mm', says: 'from the axis to the string', tool: 'ruler', least: 1, most: 10_000 },
    { name: 'up-kg', says: 'the scale while it is pulled up', tool: 'scale', least: 0, most: 200 },
    { name: 'down-kg', says: 'the scale while it is let down', tool: 'scale', least: 0, most: 200 },
    {
      name: 'at-deg',
      says: 'where the joint stands then: gives the arm of its load',
      tool: 'protractor',
      least: -720,
      most: 720,
      optional: true,
    },
  ],
  work,
};

function work(subject: Subject, readings: Readings): Outcome | Refused {
  const joint = rotaryJoint(subject);
  if ('problem' in joint) return joint;
  const [up, down] = [readings.must('up-kg'), readings.must('down-kg')];
  if (up.value === 0) return refused('--up-kg', 'is 0: nothing was pulled. Where the weight helps, pull the other way');
  if (down.value > up.value)
    return refused(
      '--down-kg',
      `${String(down.value)} kg is above --up-kg, ${String(up.value)} kg: friction adds on the way up and takes away on the way down. Were they swapped?`,
    );
  const { gravity_nm, friction_nm } = pulled(readings.must('radius-mm'), up, down);
  const atServo = propagate((friction) => friction / joint.gear_ratio, friction_nm);
  const path = ['servos', joint.servo.name, 'friction_nm'];
  const friction = measuredFigure(path, atServo);
  const arm = loadArm(subject, readings, gravity_nm);
  if (arm && 'problem' in arm) return arm;
  return {
    found: [
      { what: 'gravity torque', unit: 'N·m', ...gravity_nm },
      { what: 'friction at the joint', unit: 'N·m', ...friction_nm },
      ...(joint.gear_ratio === 1 ? [] : [{ what: 'friction at its servo', unit: 'N·m', ...atServo }]),
      ...(arm ? [{ what: 'arm of its load', unit: 'mm', ...arm }] : []),
    ],
    words: [
      `friction goes to servo class ${joint.servo.name}, and so to every joint that has it`,
      ...(joint.gear_ratio === 1 ? [] : ['it holds the rubbing of the gear as well, seen at the servo']),
      ...(friction ? [] : [`friction ${LOST}`]),
    ],
    changes: present([friction, arm && measuredFigure(['joints', joint.name, 'load', 'arm_mm'], arm)]),
  };
}

/** The arm of the joint's load; null: the angle was not told. */
function loadArm({ rig, joint: name }: Subject, readings: Readings, gravity_nm: Uncertain): Uncertain | Refused | null {
  const at = readings.may('at-deg');
  if (!at) return null;
  const load = rig.joints.find((joint) => joint.name === name)?.load;
  const mass = readings.ofRig(`joints.${String(name)}.load.mass_kg`, load?.mass_kg, 5);
  if (!load || !mass)
    return refused(
      '--at-deg',
      `${String(name)} has no load with a known mass_kg in the rig: weigh it first, or leave this out`,
    );
  const from = propagate((angle) => angle - toDeg(load.arm_level_at_rad), at);
  if (!(Math.abs(from.value) <= STEEPEST_DEG))
    return refused(
      '--at-deg',
      `is ${String(Math.round(Math.abs(from.value)))} deg from where the load's arm is level; allowed: up to ${String(STEEPEST_DEG)} deg`,
    );
  if (mass.value === 0) return refused('--at-deg', 'the load weighs nothing in the rig');
  return armOf(gravity_nm, mass, from);
}
