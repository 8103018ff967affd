/** Where joints are moved to in a bring-up, and figures as the file has them. */
import { type Joint, toRad, toShown } from '../../rig/rig.ts';
import { short } from '../../rig/words.ts';
import type { Span } from '../bench-rig.ts';
import type { Person, Question } from '../person.ts';
import type { Bench } from '../session/bench.ts';

/** So many degrees, or mm of an actuator, in the joint's own unit. */
export const amount = ({ unit }: Pick<Joint, 'unit'>, deg: number, mm: number): number =>
  unit === 'deg' ? toRad(deg) : mm;

/** Rounded as a file has it. */
export const rounded = (value: number, digits: number): number => Number(value.toFixed(digits));

/** A place, deg or mm, to a hundredth. */
export const shownAt = (joint: Joint, at: number): number => rounded(toShown(joint, at), 2);
export const placeWords = (joint: Joint, at: number): string => `${short(toShown(joint, at), 1)} ${joint.unit}`;

/** The soft limits: as far as a joint is moved with its rods on. */
const softSpan = ({ lo, hi }: Joint): Span => ({ lo, hi });

/** A joint alone with its rods on: it wakes where it rests, within its soft limits. */
export async function restsAlone(bench: Bench, person: Person, joint: Joint): Promise<void> {
  const falls = bench.rig.rest === 'powered' ? ', support it, since it would fall' : '';
  await bench.alone(
    person,
    joint,
    softSpan(joint),
    joint.rest,
    `Place ${joint.name} at its rest, ${placeWords(joint, joint.rest)}${falls}, hands clear: it jumps there at its own full speed. The other servos stay limp. Then press Enter.`,
  );
}

/** What is asked of a joint that stands. */
export const readWords = ({ name, unit }: Joint): string =>
  unit === 'deg'
    ? `Read the angle of ${name} on the protractor, in degrees, positive where the rig counts up`
    : `Measure ${name} pin to pin, in mm`;

/** Reads a place twice, approached from below and from above, so that dead band and backlash cancel. The mean, rad or mm. */
export async function readBothWays(
  bench: Bench,
  person: Person,
  joint: Joint,
  at: number,
  by: number,
  ask: Omit<Question, 'joint' | 'unit'>,
): Promise<number> {
  const read: number[] = [];
  for (const from of [at - by, at + by]) {
    await bench.moveTo(person, from);
    await bench.moveTo(person, at);
    const side = from < at ? 'below' : 'above';
    const question = { ...ask, text: `${ask.text} (approached from ${side})`, joint: joint.name, unit: joint.unit };
    const most = joint.unit === 'deg' ? 180 : 10_000;
    const value = await bench.read(person, question, { least: joint.unit === 'deg' ? -most : 0, most });
    read.push(joint.unit === 'deg' ? toRad(value) : value);
  }
  return (read[0]! + read[1]!) / 2;
}
