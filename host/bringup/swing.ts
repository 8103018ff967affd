/** `swing`: inertia of a part, or of what a joint carries, on two equal strings. */
import { aboutAxis, swung } from './formulas.ts';
import {
  type Measurement,
  type Outcome,
  type Readings,
  type Refused,
  type Subject,
  LOST,
  measuredFigure,
  refused,
} from './measurement.ts';
import { type Uncertain, propagate } from './propagate.ts';
import { MASS, axisIndex, jointOf, massOf, partOf } from './subjects.ts';

const KG_M2 = 'kg·m²';
/** From one kg·m² to kg·mm². */
const MM2 = 1e6;
/** Fewer are timed by the thumb rather than by the pendulum (ours). */
const FEW = 10;

export const SWING: Measurement = {
  what: 'swing',
  summary: 'inertia of a part or of a joint’s load: two equal strings, 20 swings',
  how: 'Hang it on two equal, upright strings, its centre of mass midway between them and the axis of interest upright. Turn it by 10 degrees at most, let go, and time 20 whole swings, there and back.',
  source: 'bifilar pendulum, I = m·g·d²·T²/(16·π²·L) for strings d apart and L long',
  caution:
    'Caution: hang it low over something soft, on strings that bear several times its weight, and tie them before you let go.',
  of: [['joint'], ['part', 'axis']],
  readings: [
    { name: 'swings', says: 'whole swings, there and back', tool: 'eye', least: 1, most: 10_000, whole: true },
    { name: 'seconds', says: 'time they took', tool: 'stopwatch', least: 0.1, most: 10_000 },
    { name: 'string-mm', says: 'length of each string', tool: 'ruler', least: 10, most: 20_000 },
    { name: 'apart-mm', says: 'between the two strings', tool: 'ruler', least: 1, most: 10_000 },
    MASS,
  ],
  work,
};

function work(subject: Subject, readings: Readings): Outcome | Refused {
  return subject.joint === null ? ofPart(subject, readings) : ofJoint(subject, readings);
}

const centred = (mass: Uncertain, readings: Readings): Uncertain =>
  swung(
    mass,
    readings.must('apart-mm'),
    readings.must('string-mm'),
    readings.must('seconds'),
    readings.must('swings').value,
  );

const fewWords = (readings: Readings): string[] =>
  readings.must('swings').value < FEW ? ['few swings: 20 would be told apart from the thumb on the stopwatch'] : [];

function ofJoint(subject: Subject, readings: Readings): Outcome | Refused {
  const { name, load } = jointOf(subject);
  if (!load) return refused('--joint', `${name} has no load: in the rig; measure its parts with --part and --axis`);
  const mass = massOf(readings, `joints.${name}.load.mass_kg`, load.mass_kg);
  if ('problem' in mass) return mass;
  const arm = readings.ofRig(`joints.${name}.load.arm_mm`, load.arm_mm, 5);
  if (!arm)
    return refused(
      '--joint',
      `${name}'s load has no known arm_mm in the rig, from its axis to its centre of mass: measure that first, by pull`,
    );
  const centre = centred(mass, readings);
  const about = aboutAxis(centre, mass, arm);
  const change = measuredFigure(['joints', name, 'load', 'inertia_kgm2'], about);
  return {
    found: [
      { what: 'inertia about its centre', unit: KG_M2, ...centre },
      { what: `inertia about ${name}`, unit: KG_M2, ...about },
    ],
    words: [...fewWords(readings), ...(change ? [] : [`inertia ${LOST}`])],
    changes: change ? [change] : [],
  };
}

function ofPart(subject: Subject, readings: Readings): Outcome | Refused {
  const { part, index } = partOf(subject);
  const mass = massOf(readings, `parts.${part.name}.mass_kg`, part.mass_kg);
  if ('problem' in mass) return mass;
  const inertia = propagate((value) => value * MM2, centred(mass, readings));
  const isClear = inertia.off < inertia.value;
  const path = ['parts', index, 'inertia_kgmm2', axisIndex(subject)];
  const noPlace = `${part.name} has no inertia_kgmm2: [xx, yy, zz] in the rig, so there is no place for one of the three: swing it about all three axes and write them in place of its shape`;
  return {
    found: [{ what: `inertia about its centre, ${subject.axis ?? ''}`, unit: 'kg·mm²', ...inertia }],
    words: [
      ...fewWords(readings),
      ...(isClear ? [] : [`inertia ${LOST}`]),
      ...(part.inertia_kgmm2
        ? [
            'these are three plain numbers in the rig file: where they come from and their tolerance are told here alone',
          ]
        : [noPlace]),
    ],
    changes: part.inertia_kgmm2 && isClear ? [{ path, to: Number(inertia.value.toPrecision(3)) }] : [],
  };
}
