/** `sag`: stiffness of a servo that holds, with a weight on its horn. */
import { sagged } from './formulas.ts';
import {
  type Measurement,
  type Outcome,
  type Readings,
  type Refused,
  type Subject,
  LOST,
  measuredFigure,
} from './measurement.ts';
import { rotaryJoint } from './subjects.ts';

export const SAG: Measurement = {
  what: 'sag',
  summary: 'stiffness of a servo: how far a weight on its horn makes it sink',
  how: 'Servo powered, horn level, rods off, a light straight pointer on the horn. Hang on a first weight, note the pointer, then add the weight that is given here: the first takes up play and dead band. At most half of the stall torque in all, for a few seconds.',
  source: 'Hooke: torque over angle, m·g·arm / atan(sag / pointer)',
  caution:
    'Caution: the servo is live. Keep clear of horn and weight, hang the weight low over something soft, and take it off before the power goes.',
  of: [['joint']],
  readings: [
    { name: 'weight-kg', says: 'the weight that was added', tool: 'scale', least: 0.001, most: 200 },
    { name: 'arm-mm', says: 'from the axis of the horn to the weight', tool: 'ruler', least: 1, most: 10_000 },
    { name: 'sag-mm', says: 'how far the pointer sank', tool: 'ruler', least: 0.01, most: 1000 },
    {
      name: 'pointer-mm',
      says: 'from the axis to where that was read; left out: at the weight',
      tool: 'ruler',
      least: 1,
      most: 10_000,
      optional: true,
    },
  ],
  work,
};

function work(subject: Subject, readings: Readings): Outcome | Refused {
  const joint = rotaryJoint(subject);
  if ('problem' in joint) return joint;
  const arm = readings.must('arm-mm');
  const stiffness = sagged(readings.must('weight-kg'), arm, readings.must('sag-mm'), readings.may('pointer-mm') ?? arm);
  const change = measuredFigure(['servos', joint.servo.name, 'stiffness_nm_rad'], stiffness);
  return {
    found: [{ what: 'stiffness', unit: 'N·m/rad', ...stiffness }],
    words: [
      `it goes to servo class ${joint.servo.name}, and so to every joint that has it`,
      ...(change ? [] : [`stiffness ${LOST}; a longer pointer helps most`]),
    ],
    changes: change ? [change] : [],
  };
}
