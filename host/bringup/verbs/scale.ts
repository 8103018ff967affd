/**
 * `scale`: at two places, each approached from both sides, the angle is read. The line through them is the servo's scale, which way it
 * turns, and, once more, its centre.
 */
import { pulseAt } from '../../rig/pulse.ts';
import { type Joint, toShown } from '../../rig/rig.ts';
import { US_PER_DEG } from '../../rig/usual.ts';
import { short } from '../../rig/words.ts';
import type { Person } from '../person.ts';
import type { Bench } from '../session/bench.ts';
import { type Verb, type VerbDone, VerbEnded } from '../verb.ts';
import { amount, placeWords, readBothWays, readWords, restsAlone, rounded } from './places.ts';
import { carriedOver } from './walked-over.ts';

/** The two places are so far apart where there is room, and at least so far. */
const APART = { deg: 50, mm: 40 } as const;
const LEAST_APART = { deg: 15, mm: 8 } as const;
/** From so far it comes to where it is read. */
const BY = { deg: 4, mm: 2 } as const;
/** What a mean of two readings may be off by: a protractor, a caliper held by hand (ours). */
const READ_OFF = { deg: 0.35, mm: 0.15 } as const;
/** Less than this share of what was asked is no movement. */
const MOVES = 0.1;
/** Of actuators, a hundredth to ten thousand per mm (schema). */
const BOUNDS = { deg: US_PER_DEG, mm: [0.01, 10_000] } as const;

export const SCALE: Verb = {
  takes: 'scale JOINT',
  says: 'reads two angles of a walked joint: which way it turns, and how many µs a degree is',
  joint: 'must',
  number: null,
  rodsOff: false,
  run: (bench, person, words) => scale(bench, person, bench.joint(words.joint ?? '')),
};

/** A line: true place = slope · (asked - zero) + centre. */
interface Line {
  readonly slope: number;
  readonly zero: number;
  readonly percent: number;
}

async function scale(bench: Bench, person: Person, joint: Joint): Promise<VerbDone> {
  if (!joint.walked)
    throw new VerbEnded(
      `${joint.name} has not been walked: "walk ${joint.name}" first, so that it moves only where nothing binds`,
    );
  const [from, to] = twoPlaces(joint, joint.walked);
  await restsAlone(bench, person, joint);
  const read = (at: number): Promise<number> =>
    readBothWays(bench, person, joint, at, amount(joint, BY.deg, BY.mm), {
      id: 'scale.reading',
      text: readWords(joint),
    });
  const [first, second] = [await read(from), await read(to)];
  const slope = (second - first) / (to - from);
  if (!(Math.abs(slope) > MOVES))
    throw new VerbEnded(
      `${joint.name} was asked to move by ${placeWords(joint, to - from)}, and its reading by ${placeWords(joint, second - first)}: is the horn tight, is it this joint?`,
    );
  const percent = (100 * Math.SQRT2 * amount(joint, READ_OFF.deg, READ_OFF.mm)) / Math.abs(second - first);
  return scaled(bench, person, joint, { slope, zero: from - (first - joint.centre) / slope, percent });
}

function twoPlaces(joint: Joint, [lo, hi]: readonly [number, number]): [number, number] {
  const by = amount(joint, BY.deg, BY.mm);
  const apart = amount(joint, APART.deg, APART.mm);
  const from = Math.max(Math.max(lo, joint.lo) + by, joint.centre - apart / 2);
  const to = Math.min(Math.min(hi, joint.hi) - by, from + apart);
  const least = amount(joint, LEAST_APART.deg, LEAST_APART.mm);
  if (!(to - from >= least))
    throw new VerbEnded(
      `${joint.name} was walked from ${placeWords(joint, lo)} to ${placeWords(joint, hi)}: two places ${placeWords(joint, least)} apart do not fit, with room to come to each from both sides`,
    );
  return [from, to];
}

const perShown = ({ us_per_unit, gear_ratio, unit }: Joint): number => us_per_unit / gear_ratio / toShown({ unit }, 1);

function scaled(bench: Bench, person: Person, joint: Joint, line: Line): VerbDone {
  const before = perShown(joint);
  const value = rounded(before / Math.abs(line.slope), 4);
  const [least, most] = BOUNDS[joint.unit];
  if (!(value >= least && value <= most))
    throw new VerbEnded(
      `the readings of ${joint.name} say ${short(value, 2)} µs per ${joint.unit}, and servos have ${short(least, 2)} to ${short(most)}: read again, in ${joint.unit === 'deg' ? 'degrees' : 'mm'}`,
    );
  const sense: 1 | -1 = line.slope > 0 ? joint.sense : joint.sense === 1 ? -1 : 1;
  const centre_us = rounded(pulseAt(joint, line.zero), 1);
  const key = `us_per_${joint.unit}`;
  const figures = {
    centre_us,
    sense,
    [key]: { value, from: 'measured', within_percent: rounded(line.percent, 1) } as const,
  };
  const changes = [{ joint: joint.name, figures: { ...figures, ...carriedOver(bench, person, joint, figures) } }];
  const turn =
    sense === joint.sense ? '' : ` It turns the other way than the rig said: its sense is now ${String(sense)}.`;
  person.say(
    `${joint.name} has ${short(value, 2)} µs per ${joint.unit}, within ${short(line.percent)} %, and the rig said ${short(before, 2)}; its centre is at ${short(centre_us, 1)} µs.${turn}`,
  );
  return {
    before: { [key]: rounded(before, 4), sense: joint.sense, centre_us: joint.centre_us },
    after: { [key]: value, sense, centre_us },
    changes,
  };
}
