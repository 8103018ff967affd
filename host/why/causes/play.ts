/** Gear play that is felt where the load tips from one side of the teeth to the other. */
import { effortWords } from '../../load/words.ts';
import { toDeg } from '../../rig/rig.ts';
import type { JointFacts } from '../facts.ts';
import { place } from '../words.ts';
import type { Look } from './cause.ts';

/** Play that is felt at a prop's rim: at 150 mm half a millimetre (ours). */
const FELT_PLAY_DEG = 0.2;

function weightOf({ balanceAt, joint }: JointFacts): number {
  if (balanceAt === null) return 0.1;
  return joint.gear_play_rad === null || toDeg(joint.gear_play_rad) > FELT_PLAY_DEG ? 0.6 : 0.3;
}

export const playCrossingBalance: Look = ({ joints }) => {
  const loose = joints.filter(
    ({ joint }) => (joint.gear_ratio !== 1 || joint.gear_play_rad !== null) && joint.gear_play_rad !== 0,
  );
  const crossing = loose.find(({ balanceAt }) => balanceAt !== null) ?? loose[0];
  if (!crossing) return null;
  const { joint, balanceAt, preload } = crossing;
  const play = joint.gear_play_rad;
  const degrees = play === null ? 'its gear play is unknown' : `its gear has ${toDeg(play).toFixed(1)} deg of play`;
  return {
    cause: 'play_crossing_balance',
    title: 'gear play where the load balances',
    weight: weightOf(crossing),
    because:
      balanceAt === null
        ? `${joint.name} is geared, ${degrees}, but gravity pulls it to one side all the way, so the teeth stay in touch`
        : `${joint.name} is geared, ${degrees}, and at ${place(joint, balanceAt)} its load tips from one side of the teeth to the other`,
    test: `move ${joint.name} slowly through its range: a slap always at the same angle is play; then hold it there and wiggle it by hand`,
    cure:
      balanceAt === null
        ? 'less play in the gear'
        : `a counterweight or a spring that adds ${effortWords(preload, joint.unit)} at the axis all along, so that the load stays on one side; less play in the gear`,
    cost: 'a weight or a spring and what it takes to hold all the time, or a better gear',
    trial: null,
  };
};
