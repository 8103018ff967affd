/** What goes on in a servo and its mechanics at rest: hunting, heat of holding, something that binds. */
import { warmth } from '../../load/heat.ts';
import { percent } from '../../load/words.ts';
import type { JointFacts } from '../facts.ts';
import { WHICH_SERVO } from '../remedies.ts';
import { heldAtWords, holdWords } from '../words.ts';
import { type Look, heldShare, most } from './cause.ts';

/** A servo with a narrower dead band than this is prone to hunting, µs (a usual figure, not measured: digital hobby servos have 1 to 5). */
const NARROW_US = 3;

export const deadBandHunting: Look = (facts) => {
  const held = most(facts, heldShare) ?? facts.joints[0];
  if (!held) return null;
  const band = held.joint.servo.deadband_us;
  return {
    cause: 'dead_band_hunting',
    title: 'a servo hunts around its position',
    weight: band === null ? 0.4 : band < NARROW_US ? 0.55 : 0.3,
    because: `${holdWords(held)}; its dead band is ${band === null ? 'unknown' : `${band.toFixed(0)} µs`}: with play and friction, a servo with a narrow dead band never settles`,
    test: 'rest a finger lightly on the horn: hunting stops at the touch, a resonance does not',
    cure: 'a wider dead band, if the servo can be programmed; less play; a little friction; a constant pulse while nothing has to move',
    cost: 'it holds its position less exactly',
    trial: null,
  };
};

/** How near to what it may give for long, holding at worst or moving on average; 1 is all of it. */
const warmthOf = (joint: JointFacts): number | null => {
  const shares = [heldShare(joint), joint.load?.along?.rms_use ?? null].filter((share) => share !== null);
  return shares.length === 0 ? null : warmth(Math.max(...shares), joint.joint.servo);
};

export const holdingHeat: Look = (facts) => {
  const hot = most(facts, warmthOf);
  const joint = hot ?? facts.joints[0];
  if (!joint) return null;
  const warm = (hot && warmthOf(hot)) ?? null;
  const average = hot?.load?.along?.rms_use ?? null;
  const along = average === null ? '' : `; along the stream ${percent(average)} on average`;
  const enough = percent(joint.joint.servo.continuous_use);
  return {
    cause: 'holding_heat',
    title: 'it holds too much for too long',
    weight: warm === null ? 0.35 : warm > 1 ? 0.9 : warm > 0.5 ? 0.4 : 0.1,
    because: `${holdWords(joint)}${heldAtWords(joint)}${along}; its continuous limit is ${enough} (continuous_use)`,
    test: 'leave it in its heaviest pose for ten minutes, then in its rest pose for ten, and feel the servo each time: if it is warm only after the first, this is the cause',
    cure: `a counterweight or a spring (${WHICH_SERVO}); a rest pose that takes no torque; rest it between scenes`,
    cost: 'more weight to move, or less movement to watch',
    trial: null,
  };
};

export const binding: Look = () => ({
  cause: 'binding',
  title: 'something binds',
  weight: 0.3,
  because: 'a rig file cannot show a tight bearing, a bent rod or a cable that pulls',
  test: 'with the power off and the horns loose, move every joint by hand through its range: it must move evenly and stay where you leave it',
  cure: 'free it: align it, ease it, route the cable along the axis',
  cost: 'an hour with a screwdriver',
  trial: null,
});
