/**
 * `centre`: at the centre pulse the horn is to stand at 0. What is more than half a tooth of its spline is put right by the horn, what
 * is left by the pulse. Each reading is the mean of two, one approached from each side.
 */
import { pulseAt } from '../../rig/pulse.ts';
import { type Joint, toRad } from '../../rig/rig.ts';
import { short } from '../../rig/words.ts';
import { type Span, pulseSpan } from '../bench-rig.ts';
import type { Person } from '../person.ts';
import type { Bench } from '../session/bench.ts';
import { type Verb, type VerbDone, VerbEnded } from '../verb.ts';
import { amount, placeWords, readBothWays, readWords, rounded } from './places.ts';

/** Read off so near to 0 it is there: a printed protractor tells no less (ours). */
const NEAR = { deg: 0.25, mm: 0.15 } as const;
/** From so far it comes to where it is read. */
const BY = { deg: 6, mm: 3 } as const;
const ROUNDS = 8;
/** Fewer µs are no change: the pulse is whole microseconds. */
const SAME_US = 0.5;

export const CENTRE: Verb = {
  takes: 'centre JOINT --rods-off',
  says: 'finds the pulse at which a bare horn stands at 0, by tooth and by trim, and writes centre_us',
  joint: 'must',
  number: null,
  rodsOff: true,
  run: (bench, person, words) => centre(bench, person, bench.joint(words.joint ?? '')),
};

/** As far as it may be turned with its rods off to be centred: a tooth and its approach, within what its pulses allow. */
function centringSpan(joint: Joint): Span {
  const { lo, hi } = pulseSpan(joint);
  const by = amount(joint, 40, 15);
  return { lo: Math.max(lo, joint.centre - by), hi: Math.min(hi, joint.centre + by) };
}

export async function centre(bench: Bench, person: Person, joint: Joint): Promise<VerbDone> {
  await bench.alone(
    person,
    joint,
    centringSpan(joint),
    joint.centre,
    `Take the rods off ${joint.name} and lay the printed protractor (posewright draw --sheet) under its horn, fingers clear: it jumps to ${short(joint.centre_us, 0)} µs at its own full speed. Then press Enter.`,
  );
  const at = await trimmed(bench, person, joint);
  const centre_us = rounded(pulseAt(joint, at), 1);
  const isSame = Math.abs(centre_us - joint.centre_us) < SAME_US;
  const walked = joint.walked !== null && !isSame;
  person.say(
    isSame
      ? `${joint.name} is centred at ${short(joint.centre_us, 1)} µs already.`
      : `${joint.name} is centred at ${short(centre_us, 1)} µs, and was at ${short(joint.centre_us, 1)} µs.${walked ? ' Its zero has moved: walk it again.' : ''}`,
  );
  return {
    before: { centre_us: joint.centre_us },
    after: { centre_us: isSame ? joint.centre_us : centre_us },
    changes: isSame
      ? []
      : [{ joint: joint.name, figures: { centre_us, ...(walked ? { [`walked_${joint.unit}`]: null } : {}) } }],
  };
}

/** Where, in the joint's present scale, it truly stands at its centre. Which way it turns need not be known: the second reading tells. */
async function trimmed(bench: Bench, person: Person, joint: Joint): Promise<number> {
  let [at, slope] = [joint.centre, 1];
  let last: { at: number; off: number } | null = null;
  for (let round = 0; round < ROUNDS; round++) {
    const off = (await reading(bench, person, joint, at)) - joint.centre;
    const teeth = at === joint.centre ? teethOff(joint, off) : 0;
    if (teeth !== 0) {
      await refit(bench, person, joint, teeth);
      continue;
    }
    if (last && Math.abs(at - last.at) > amount(joint, 0.5, 0.3))
      slope = believable((off - last.off) / (at - last.at), slope);
    if (Math.abs(off) <= amount(joint, NEAR.deg, NEAR.mm)) return at - off / slope;
    last = { at, off };
    at -= off / slope;
  }
  throw new VerbEnded(`the readings of ${joint.name} do not follow its pulse: is the horn tight, is it this joint?`);
}

/** A slope that a servo can have; dead band and eyes make others, which are not followed. */
const believable = (slope: number, before: number): number =>
  Math.abs(slope) > 0.3 && Math.abs(slope) < 3 ? slope : before;

function reading(bench: Bench, person: Person, joint: Joint, at: number): Promise<number> {
  return readBothWays(bench, person, joint, at, amount(joint, BY.deg, BY.mm), {
    id: 'centre.reading',
    text: readWords(joint),
  });
}

/** A tooth of the horn's spline at the joint, rad: a gear makes it smaller. */
const toothOf = ({ servo, gear_ratio }: Joint): number => toRad(360) / (servo.spline_teeth * gear_ratio);

/** Whole teeth nearest to what the horn is off. An actuator has none. */
function teethOff(joint: Joint, off: number): number {
  if (joint.unit !== 'deg') return 0;
  const tooth = toothOf(joint);
  return Math.abs(off) > tooth / 2 ? Math.round(off / tooth) : 0;
}

const teethWords = (n: number): string => (n === 1 ? '1 tooth' : `${String(n)} teeth`);

async function refit(bench: Bench, person: Person, joint: Joint, teeth: number): Promise<void> {
  const tooth = toothOf(joint);
  const way = teeth > 0 ? 'minus' : 'plus';
  await bench.ask(person, {
    id: 'centre.refit',
    joint: joint.name,
    text: `Pull the horn of ${joint.name} off and put it back ${teethWords(Math.abs(teeth))} towards ${way} (a tooth is ${placeWords(joint, tooth)}); the servo holds meanwhile. Then press Enter.`,
    unit: null,
  });
}
