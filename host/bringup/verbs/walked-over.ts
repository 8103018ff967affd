/** What a walk is worth once a joint's centre, scale or sense is another: it was on pulses, and they stay. */
import type { JointFigures } from '../../rig/joint-edit.ts';
import { positionAt, pulseAt } from '../../rig/pulse.ts';
import { type Joint, toDeg, toShown } from '../../rig/rig.ts';
import { short } from '../../rig/words.ts';
import type { Person } from '../person.ts';
import type { Bench } from '../session/bench.ts';

type Figures = JointFigures['figures'];

/** The joint with `centre_us`, `sense` and `us_per_*` of these figures. */
function withPulses(joint: Joint, figures: Figures): Joint {
  const number = (key: string): number | null => {
    const figure = figures[key];
    return typeof figure === 'number' ? figure : figure && 'value' in figure ? figure.value : null;
  };
  const per = number(`us_per_${joint.unit}`);
  const us_per = per === null ? null : per * joint.gear_ratio;
  return {
    ...joint,
    centre_us: number('centre_us') ?? joint.centre_us,
    sense: (number('sense') ?? joint.sense) === 1 ? 1 : -1,
    us_per_unit: us_per === null ? joint.us_per_unit : joint.unit === 'deg' ? toDeg(us_per) : us_per,
  };
}

/**
 * The pulses that were walked, as places by the new figures, and soft limits no wider than that; where that is no rig, the walk is void
 * and the person is told. A leg's limits are what its walk found: with another sense each goes to the other side. Those of another joint
 * say what it is for (a lid that opens from 0 to 55 deg), and stay on their side. Nothing where the joint was not walked.
 */
export function carriedOver(bench: Bench, person: Person, joint: Joint, figures: Figures): Figures {
  if (!joint.walked) return {};
  const inward = (lo: number, hi: number): [number, number] => [
    Math.ceil(toShown(joint, lo) * 10 - 1e-6) / 10,
    Math.floor(toShown(joint, hi) * 10 + 1e-6) / 10,
  ];
  const [walkedKey, limitKey] = [`walked_${joint.unit}`, `limit_${joint.unit}`];
  const after = withPulses(joint, figures);
  const ends = joint.walked.map((at) => positionAt(after, pulseAt(joint, at)));
  const [lo, hi] = [Math.min(...ends), Math.max(...ends)];
  const walked = inward(lo, hi);
  const isTurned = joint.kind === 'leg' && after.sense !== joint.sense;
  const mirrored = (at: number): number => 2 * joint.centre - at;
  const [least, most] = isTurned ? [mirrored(joint.hi), mirrored(joint.lo)] : [joint.lo, joint.hi];
  const narrower = least < lo || most > hi;
  const soft = inward(Math.max(lo, least), Math.min(hi, most));
  const limits = narrower || least !== joint.lo ? { [limitKey]: soft } : {};
  const told = { [walkedKey]: walked, ...limits };
  const span = `${walked.map((at) => short(at)).join(' to ')} ${joint.unit}`;
  if (bench.draft.mayChange([{ joint: joint.name, figures: { ...figures, ...told } }])) {
    if (narrower && !isTurned)
      person.say(`By the new figures ${joint.name} was walked from ${span}, and its limits are narrowed to that.`);
    if (isTurned)
      person.say(`Its limits turn with it: they are now ${soft.map((at) => short(at)).join(' to ')} ${joint.unit}.`);
    return told;
  }
  person.say(
    `By the new figures ${joint.name} was walked from ${span}, which leaves out its rest or its home: walk it again.`,
  );
  return { [walkedKey]: null };
}
