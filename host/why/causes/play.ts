/** Gear play that is felt where the load tips from one side of the teeth to the other. */
import { effortWords } from '../../load/words.ts';
import { toDeg } from '../../rig/rig.ts';
import type { JointFacts } from '../facts.ts';
import { place } from '../words.ts';
import type { Look } from './cause.ts';

/** Play that is felt at a prop's rim: at 150 mm half a millimetre (ours). */
const FELT_PLAY_DEG = 0.2;

/** Where the teeth change sides, or may. */
type Contact = 'changes' | 'free' | 'kept' | 'unknown';

function contactOf({ balanceAt, isPulled, isPartlyWeighed }: JointFacts): Contact {
  if (isPartlyWeighed) return 'unknown';
  if (balanceAt !== null) return 'changes';
  return isPulled ? 'kept' : 'free';
}

function weightOf({ joint: { gear_play_rad } }: JointFacts, contact: Contact): number {
  if (contact === 'kept') return 0.1;
  const isFelt = gear_play_rad === null || toDeg(gear_play_rad) > FELT_PLAY_DEG;
  return contact !== 'unknown' && isFelt ? 0.6 : 0.3;
}

function becauseOf({ joint, balanceAt }: JointFacts, contact: Contact): string {
  const { name, gear_play_rad: play } = joint;
  const gear = `${name} is geared, ${play === null ? 'its gear play is unknown' : `its gear has ${toDeg(play).toFixed(1)} deg of play`}`;
  switch (contact) {
    case 'changes':
      return `${gear}, and at ${place(joint, balanceAt ?? 0)} its load moves from one side of the teeth to the other`;
    case 'free':
      return `${gear}, and gravity presses its teeth to neither side: they separate whenever it speeds up or slows down`;
    case 'kept':
      return `${gear}, but gravity pulls it the same way through its whole range, so the teeth stay in contact`;
    case 'unknown':
      return `${gear}; whether gravity keeps its teeth in contact is unknown, since weights are missing in the file`;
  }
}

function cureOf({ joint, preload }: JointFacts, contact: Contact): string {
  if (contact === 'changes')
    return `a counterweight or a spring that adds ${effortWords(preload, joint.unit)} at the axis over the whole range, so that the load always presses the same side; less play in the gear`;
  return contact === 'free'
    ? 'a light spring that keeps the teeth on one side; less play in the gear'
    : 'less play in the gear';
}

export const playCrossingBalance: Look = ({ joints }) => {
  const loose = joints
    .filter(({ joint }) => (joint.gear_ratio !== 1 || joint.gear_play_rad !== null) && joint.gear_play_rad !== 0)
    .map((facts) => ({ facts, contact: contactOf(facts), weight: weightOf(facts, contactOf(facts)) }));
  const [crossing] = loose.sort((a, b) => b.weight - a.weight);
  if (!crossing) return null;
  const { facts, contact, weight } = crossing;
  return {
    cause: 'play_crossing_balance',
    title: 'gear play where the load balances',
    weight,
    because: becauseOf(facts, contact),
    test: `move ${facts.joint.name} slowly through its range: a knock that is always at the same angle is play; hold it there and wiggle it by hand to feel it`,
    cure: cureOf(facts, contact),
    cost: 'a weight or a spring, and the torque to hold it all the time; or a better gear',
    trial: null,
  };
};
