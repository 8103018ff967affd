/** `stall`: what a servo draws when it cannot move. */
import { stalled } from './formulas.ts';
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
import { exactly } from './propagate.ts';
import { jointOf } from './subjects.ts';

export const STALL: Measurement = {
  what: 'stall',
  summary: 'current of a servo that cannot move: a meter that keeps its peak',
  how: 'One servo alone on a fused supply, its horn clamped to the bench. Step its pulse away by 20 degrees for half a second, read the peak and the volts at its plug; let it cool for a minute, three times, and give the largest.',
  source: "Ohm's law: a motor that stands still has no back-EMF",
  caution:
    'Caution: never longer than a second, a fuse of at most twice the current on the sheet, the horn clamped and no finger near it. A stalled motor burns within seconds.',
  of: [['joint']],
  readings: [
    { name: 'current-a', says: 'peak while it is stalled', tool: 'meter', least: 0.001, most: 1000 },
    {
      name: 'idle-a',
      says: 'what all else on that supply draws; left out: nothing',
      tool: 'meter',
      least: 0,
      most: 1000,
      optional: true,
    },
    {
      name: 'seen-v',
      says: 'volts at its plug meanwhile; left out: those of the supply',
      tool: 'meter',
      least: 0.5,
      most: 100,
      optional: true,
    },
    { name: 'for-s', says: 'how long it was stalled', tool: 'eye', least: 0.01, most: 1 },
  ],
  work,
};

function work(subject: Subject, readings: Readings): Outcome | Refused {
  const { servo } = jointOf(subject);
  const [current, idle] = [readings.must('current-a'), readings.may('idle-a') ?? exactly(0)];
  if (idle.value >= current.value)
    return refused(
      '--idle-a',
      `${String(idle.value)} A is no less than --current-a, ${String(current.value)} A: the servo itself drew nothing`,
    );
  const seen = readings.may('seen-v');
  const supply_v = subject.rig.supply?.voltage_v ?? null;
  if (seen && supply_v === null)
    return refused('--seen-v', 'the rig has no supply with a known voltage_v to convert to; leave this out');
  const at_v = supply_v ?? 1;
  const figure = stalled(current, idle, seen ?? exactly(at_v), at_v);
  const change = measuredFigure(['servos', servo.name, 'stall_current_a'], figure);
  return {
    found: [{ what: `stall current${supply_v === null ? '' : ` at ${String(supply_v)} V`}`, unit: 'A', ...figure }],
    words: [
      `it goes to servo class ${servo.name}, and so to every joint that has it`,
      ...(change ? [] : [`current ${LOST}`]),
    ],
    changes: change ? [change] : [],
  };
}
